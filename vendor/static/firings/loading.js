/* Loading a kiln from batches: says how many of each batch are left, and takes them with one tap.
   Without it the numbers are typed, and the server refuses more than there are. */
"use strict";
(() => {
  // What is looked for may stand in a batch that is folded up.
  const find = document.querySelector("[data-find]");
  find?.addEventListener("input", () => {
    for (const list of document.querySelectorAll("details [data-batch]")) {
      if (find.value.trim() && list.querySelector("li:not([hidden])")) list.closest("details").open = true;
    }
  });

  for (const list of document.querySelectorAll("[data-batch]")) {
    const whole = Number(list.dataset.batch);
    const inputs = [...list.querySelectorAll("input")];
    const left = () => whole - inputs.reduce((sum, each) => sum + (Number(each.value) || 0), 0);
    const shown = [...(list.closest("details") || list).querySelectorAll("[data-left]")];
    const rest = [...list.querySelectorAll("[data-rest]")];

    const tell = () => {
      const now = left();
      for (const each of shown) each.textContent = String(Math.max(0, now));
      for (const each of rest) each.hidden = now <= 0;
    };
    for (const button of rest) {
      const input = button.parentElement.querySelector("input");
      button.addEventListener("click", () => {
        input.value = String((Number(input.value) || 0) + Math.max(0, left()));
        input.focus();
        input.dispatchEvent(new Event("input", { bubbles: true }));
      });
    }
    list.addEventListener("input", tell);
    window.addEventListener("pageshow", tell);
    tell();
  }
})();
