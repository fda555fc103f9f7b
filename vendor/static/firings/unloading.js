/* Unloading a kiln: a second or a loss comes off the firsts, and each line says whether it adds up.
   The server checks every sum again. */
"use strict";
(() => {
  const lines = [...document.querySelectorAll("[data-line]")];
  const all = document.querySelector("[data-all]");
  const number = (input) => Math.max(0, Math.trunc(Number(input.value) || 0));
  const said = (count, one, many) => `${count} ${count === 1 ? one : many}`;

  const counted = (line) => {
    const takes = [...line.querySelectorAll("[data-takes] input")];
    const lost = [...line.querySelectorAll("[data-cause] input")].reduce((sum, each) => sum + number(each), 0);
    const firsts = number(line.querySelector("[data-firsts] input"));
    const taken = takes.reduce((sum, each) => sum + number(each), 0);
    return { firsts, taken, lost, seconds: taken - lost, apart: firsts + taken - Number(line.dataset.loaded) };
  };

  const tell = (line) => {
    const { lost, apart } = counted(line);
    line.querySelector("[data-lost]").textContent = String(lost);
    const sum = line.querySelector("[data-sum]");
    sum.className = apart === 0 ? "state good" : "state stop";
    sum.textContent = apart === 0 ? "Adds up" : `${Math.abs(apart)} too ${apart > 0 ? "many" : "few"}`;
  };

  const tellAll = () => {
    const sums = lines.map(counted);
    const sum = (name) => sums.reduce((so_far, each) => so_far + each[name], 0);
    const wrong = sums.filter((each) => each.apart !== 0).length;
    const out = [said(sum("firsts"), "first", "firsts"), said(sum("seconds"), "second", "seconds"), `${sum("lost")} lost`].join(", ");
    all.textContent = wrong ? `${out}. ${said(wrong, "line does", "lines do")} not add up yet.` : out;
  };

  for (const line of lines) {
    const firsts = line.querySelector("[data-firsts] input");
    // Firsts that were counted by hand stay as they are (even before this script was there); else
    // they follow what is taken off.
    let following = counted(line).apart === 0;
    let own = false;
    firsts.addEventListener("input", () => { following = own; });
    for (const input of line.querySelectorAll("[data-takes] input")) {
      let before = number(input);
      input.addEventListener("input", () => {
        const now = number(input);
        const left = number(firsts) - (now - before);
        if (following && left >= 0 && left <= Number(line.dataset.loaded)) {
          firsts.value = String(left);
          own = true;
          firsts.dispatchEvent(new Event("input", { bubbles: true }));
          own = false;
        }
        before = now;
      });
    }
    line.addEventListener("input", () => { tell(line); tellAll(); });
    tell(line);
  }
  tellAll();
  window.addEventListener("pageshow", () => { lines.forEach(tell); tellAll(); });
})();
