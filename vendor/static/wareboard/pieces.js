/* A page of many pieces: finds them by name or code, and keeps the number entered in view.
   Without it the whole list stands there, and the server counts. */
"use strict";
(() => {
  const rows = [...document.querySelectorAll("[data-things] > li")];
  const find = document.querySelector("[data-find]");
  if (!rows.length || !find) return;
  const nothing = document.querySelector("[data-nothing]");
  const total = document.querySelector("[data-total]");
  const word = document.querySelector("[data-one]");
  const plain = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
  const pieces = (row) => Number(row.querySelector("input").value) || 0;

  const show = () => {
    const words = plain(find.value).split(/\s+/).filter(Boolean);
    let shown = 0;
    for (const row of rows) {
      const text = plain(row.dataset.words);
      row.hidden = !words.every((each) => text.includes(each));
      if (!row.hidden) shown += 1;
    }
    nothing.hidden = shown > 0;
  };
  const add = () => {
    const sum = rows.reduce((soFar, row) => soFar + pieces(row), 0);
    total.textContent = String(sum);
    word.textContent = sum === 1 ? word.dataset.one : word.dataset.many;
  };

  find.addEventListener("input", show);
  // Enter in the search would send the whole page.
  find.addEventListener("keydown", (event) => {
    if (event.key === "Enter") event.preventDefault();
  });
  for (const list of document.querySelectorAll("[data-things]")) list.addEventListener("input", add);
  window.addEventListener("pageshow", () => { show(); add(); });
  add();
})();
