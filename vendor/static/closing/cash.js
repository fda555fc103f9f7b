/* Adds the notes and coins up while they are counted; the server adds them up again.
   Works on: input[data-worth] (minor units) and output[data-sum]. */
"use strict";
(() => {
  const sum = document.querySelector("output[data-sum]");
  if (!sum) return;
  const digits = Number(sum.dataset.digits);
  const written = new Intl.NumberFormat(sum.dataset.language, {
    style: "currency", currency: sum.dataset.currency, minimumFractionDigits: digits, maximumFractionDigits: digits,
  });
  const coins = [...document.querySelectorAll("input[data-worth]")];
  const add = () => {
    const total = coins.reduce((all, coin) => all + Number(coin.dataset.worth) * (Number(coin.value) || 0), 0);
    sum.hidden = total <= 0;
    sum.textContent = `: ${written.format(total / 10 ** digits)}`;
  };
  for (const coin of coins) coin.addEventListener("input", add);
  add();
})();
