/**
 * How a sale is paid: the sheet over the page that ends with payments, or with none.
 *
 * @typedef {import("./basket.js").Paid} Paid
 */

import { bare, likelyTenders, parsed, written } from "./money.js";
import { Refused } from "./reckoning.js";
import { byId, make } from "./dom.js";

/**
 * Ask how the sale is paid; null where the seller went back to it.
 * @param {import("./basket.js").Basket} basket
 * @param {any} sheet
 * @param {"cash" | "card"} way the way of the whole, or of what a first part leaves
 * @returns {Promise<Paid[] | null>}
 */
export function askPayment(basket, sheet, way) {
  const dialog = byId("pay");
  const cash = way === "cash";
  byId("by-cash").hidden = !cash;
  byId("by-card").hidden = cash;
  byId("part-name").textContent = cash ? "Part of it by card" : "Part of it in cash";
  for (const id of ["handed", "tip", "part", "other"]) byId(id).value = "";
  byId("pay-more").open = false;
  return new Promise((resolve) => {
    /** @param {Paid[] | null} payments */
    const end = (payments) => {
      dialog.onclose = null;
      dialog.close();
      resolve(payments);
    };
    /** @param {"cash" | "card" | "other"} method @param {number | null} tendered */
    const take = (method, tendered = null) => {
      const asked = sum(basket, sheet, way);
      if (!asked.wrong) end(payments(asked, method, way, tendered));
    };
    const draw = () => show(basket, sheet, way, (tendered) => take("cash", tendered));
    byId("tip").oninput = byId("part").oninput = byId("other").oninput = draw;
    byId("paid-card").onclick = () => take("card");
    byId("paid-other").onclick = () => take("other");
    byId("handed-over").onsubmit = (/** @type {SubmitEvent} */ event) => {
      event.preventDefault();
      const { due } = sum(basket, sheet, way);
      const tendered = parsed(byId("handed").value, sheet);
      if (tendered !== null && tendered >= due) return take("cash", tendered);
      tell("handed-wrong", tendered === null ? `Write it like ${bare(due, sheet)}.` : `That is ${bare(due - tendered, sheet)} short.`);
    };
    byId("pay-back").onclick = () => end(null);
    dialog.onclose = () => resolve(null);
    draw();
    dialog.showModal();
  });
}

/**
 * What is due by this way: the total less the part that is paid the other way, and the tip on top.
 * @param {import("./basket.js").Basket} basket
 * @param {any} sheet
 * @param {"cash" | "card"} way
 */
function sum(basket, sheet, way) {
  const [part, other, tip] = ["part", "other", "tip"].map((id) => parsed(byId(id).value || "0", sheet));
  const first = [
    { method: way === "cash" ? "card" : "cash", settles: part, tip: 0, tendered: null },
    { method: "other", settles: other, tip: 0, tendered: null },
  ].filter((each) => each.settles);
  if (part === null || other === null || tip === null) return { due: 0, tip: 0, first: [], rounded: false, wrong: "Write amounts with digits, like 5.00." };
  try {
    // @ts-ignore the ways are those of Paid
    const { left, left_in_cash: inCash } = basket.reckoned(sheet.terms, first);
    if (first.length && left === 0) return { due: 0, tip: 0, first: [], rounded: false, wrong: "That part is the whole." };
    const due = (way === "cash" ? inCash : left) + tip;
    return { due, tip, first, rounded: way === "cash" && inCash !== left, wrong: "" };
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    return { due: 0, tip: 0, first: [], rounded: false, wrong: error.message };
  }
}

/**
 * The payments in the order in which they were taken; a part in cash is handed over exactly.
 * @param {{tip: number, first: any[]}} asked
 * @param {"cash" | "card" | "other"} method
 * @param {"cash" | "card"} way
 * @param {number | null} tendered
 * @returns {Paid[]}
 */
function payments({ tip, first }, method, way, tendered) {
  return [...first, { method, settles: null, tip, tendered: way === "cash" ? tendered : null }];
}

/**
 * @param {import("./basket.js").Basket} basket
 * @param {any} sheet
 * @param {"cash" | "card"} way
 * @param {(tendered: number) => void} take
 */
function show(basket, sheet, way, take) {
  const { due, tip, rounded, wrong } = sum(basket, sheet, way);
  byId("pay-title").textContent = `${way === "cash" ? "Cash" : "Card"}: ${written(due, sheet)}`;
  tell("pay-rounded", [rounded ? "Rounded to the smallest coins." : "", tip ? `With a tip of ${bare(tip, sheet)}.` : ""].filter(Boolean).join(" "));
  tell("pay-wrong", wrong);
  tell("handed-wrong", "");
  byId("tenders").replaceChildren(...(wrong ? [] : tenderButtons(due, sheet, take)));
  for (const id of ["paid-card", "paid-other"]) byId(id).disabled = Boolean(wrong);
}

/** @param {string} id @param {string} text */
function tell(id, text) {
  byId(id).textContent = text;
  byId(id).hidden = !text;
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
