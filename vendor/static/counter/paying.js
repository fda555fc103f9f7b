/** How a sale is paid: the sheet over the page that ends with payments, or with none. */

import { bare, likelyTenders, parsed, written } from "./money.js";
import { byId, make } from "./dom.js";

/**
 * Ask how the sale is paid; null where the seller went back to it.
 * @param {import("./basket.js").Basket} basket
 * @param {any} sheet
 * @param {"cash" | "card"} way
 * @returns {Promise<import("./basket.js").Paid[] | null>}
 */
export function askPayment(basket, sheet, way) {
  const { total, left_in_cash: inCash } = basket.reckoned(sheet.terms);
  const cash = way === "cash";
  const due = cash ? inCash : total;
  byId("pay-title").textContent = `${cash ? "Cash" : "Card"}: ${written(due, sheet)}`;
  byId("pay-rounded").hidden = !cash || inCash === total;
  byId("pay-rounded").textContent = `Rounded from ${bare(total, sheet)} to the smallest coins.`;
  byId("by-cash").hidden = !cash;
  byId("by-card").hidden = cash;
  byId("handed").value = "";
  byId("handed-wrong").hidden = true;
  const dialog = byId("pay");
  return new Promise((resolve) => {
    /** @param {import("./basket.js").Paid[] | null} payments */
    const end = (payments) => {
      dialog.onclose = null;
      dialog.close();
      resolve(payments);
    };
    /** @param {"cash" | "card" | "other"} method @param {number | null} tendered */
    const one = (method, tendered = null) => end([{ method, settles: null, tip: 0, tendered }]);
    byId("tenders").replaceChildren(...tenderButtons(due, sheet, (tendered) => one("cash", tendered)));
    byId("paid-card").onclick = () => one("card");
    byId("paid-other").onclick = () => one("other");
    byId("handed-over").onsubmit = (/** @type {SubmitEvent} */ event) => {
      event.preventDefault();
      const tendered = parsed(byId("handed").value, sheet);
      if (tendered !== null && tendered >= due) return one("cash", tendered);
      byId("handed-wrong").textContent =
        tendered === null ? `Write it like ${bare(due, sheet)}.` : `That is ${bare(due - tendered, sheet)} short.`;
      byId("handed-wrong").hidden = false;
    };
    byId("pay-back").onclick = () => end(null);
    dialog.onclose = () => resolve(null);
    dialog.showModal();
  });
}

/**
 * @param {number} due
 * @param {any} sheet
 * @param {(tendered: number) => void} take
 */
function tenderButtons(due, sheet, take) {
  const sums = due > 0 ? likelyTenders(due, sheet) : [0];
  return sums.map((tendered, at) =>
    make("button", { type: "button", class: at === 0 ? "btn solid" : "btn", onclick: () => take(tendered) },
      at === 0 ? "Exactly " : "", written(tendered, sheet),
      make("small", {}, tendered === due ? "no change" : `change ${bare(tendered - due, sheet)}`)));
}
