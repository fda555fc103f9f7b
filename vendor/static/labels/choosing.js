/* Choosing tags: finds ware, keeps the number of tags in view, and lets the first label be tapped
   on a drawing of the sheet. Without it, the number of the first label is written by hand. */
"use strict";
(() => {
  const form = document.getElementById("tags");
  if (!form) return;
  const rows = [...form.querySelectorAll("[data-words]")];
  const find = document.getElementById("find");
  const nothing = document.getElementById("nothing-found");
  const others = document.getElementById("others");
  const total = document.querySelector("[data-total]");
  const word = document.querySelector("[data-total-word]");
  const plain = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
  const tags = (row) => Math.max(0, Math.trunc(Number(row.querySelector("input").value) || 0));
  const sum = () => rows.reduce((so_far, row) => so_far + tags(row), 0);

  const show = () => {
    if (!find) return;
    const words = plain(find.value).split(/\s+/).filter(Boolean);
    let shown = 0;
    for (const row of rows) {
      const text = plain(row.dataset.words);
      row.hidden = !words.every((each) => text.includes(each));
      if (!row.hidden) shown += 1;
    }
    if (words.length && others) others.open = true;
    nothing.hidden = shown > 0;
  };
  const add = () => {
    const all = sum();
    total.textContent = all.toLocaleString("en");
    word.textContent = all === 1 ? "tag" : "tags";
    mark();
  };

  const sheets = JSON.parse(document.getElementById("sheets").textContent);
  const sheet = form.elements.namedItem("sheet");
  const start = form.elements.namedItem("start");
  const holder = document.getElementById("begun");
  const SVG = "http://www.w3.org/2000/svg";
  const made = (name, attributes) => {
    const element = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    return element;
  };

  const draw = () => {
    const found = sheets[sheet.value];
    if (!found) return;
    const svg = made("svg", { class: "labels-sheet", viewBox: `0 0 ${found.paper[0]} ${found.paper[1]}`, "aria-hidden": "true" });
    svg.append(made("rect", { class: "paper-edge", width: found.paper[0], height: found.paper[1] }));
    for (let at = 0; at < found.columns * found.rows; at += 1) {
      const x = found.first[0] + (at % found.columns) * found.step[0];
      const y = found.first[1] + Math.floor(at / found.columns) * found.step[1];
      const group = made("g", { "data-label": at + 1 });
      group.append(made("rect", { x, y, width: found.label[0], height: found.label[1], rx: found.corner }));
      const size = Math.min(found.label[1] * 0.45, found.label[0] * 0.3, 24);
      const text = made("text", { x: x + found.label[0] / 2, y: y + found.label[1] / 2 + size * 0.35, "font-size": size, "text-anchor": "middle" });
      text.textContent = at + 1;
      group.append(text);
      svg.append(group);
    }
    holder.replaceChildren(svg);
    mark();
  };
  const mark = () => {
    const first = Number(start.value) || 1;
    for (const group of holder.querySelectorAll("[data-label]")) {
      const at = Number(group.dataset.label);
      group.setAttribute("class", at < first ? "used" : at === first ? "first" : "");
    }
  };

  // A wide page has the room to show all ware at once.
  if (others && !document.querySelector("[data-asked]") && window.matchMedia("(min-width: 60rem)").matches) others.open = true;
  holder.addEventListener("click", (event) => {
    const group = event.target.closest("[data-label]");
    if (!group) return;
    start.value = group.dataset.label;
    start.dispatchEvent(new Event("input", { bubbles: true }));
  });
  start.addEventListener("input", mark);
  sheet.addEventListener("change", draw);
  if (find) {
    find.addEventListener("input", show);
    // Enter in the search would send the whole page.
    find.addEventListener("keydown", (event) => {
      if (event.key === "Enter") event.preventDefault();
    });
  }
  form.addEventListener("input", add);
  window.addEventListener("pageshow", () => { show(); draw(); add(); });
})();
