/* Loading a kiln: finds ware by name or code, and keeps the number of pieces in view. */
"use strict";
(() => {
  const things = document.getElementById("things");
  if (!things) return;
  const find = document.getElementById("find");
  const nothing = document.getElementById("nothing-found");
  const total = document.querySelector("[data-total]");
  const word = document.querySelector("[data-total-word]");
  const rows = [...things.children];
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
    const sum = rows.reduce((so_far, row) => so_far + pieces(row), 0);
    total.textContent = String(sum);
    word.textContent = sum === 1 ? "piece loaded" : "pieces loaded";
  };

  find.addEventListener("input", show);
  // Enter in the search would send the whole firing.
  find.addEventListener("keydown", (event) => {
    if (event.key === "Enter") event.preventDefault();
  });
  things.addEventListener("input", add);
  window.addEventListener("pageshow", () => { show(); add(); });
  add();
})();
