/** Which cash box of the weekend this device works with, where there are several. */

import { byId, make } from "./dom.js";

const BOX = "wareboard-till";
/** @type {string | null} what was chosen, where the browser keeps nothing */
let chosen = null;

/** @typedef {{number: number, name: string}} CashBox */

/**
 * The box that this device works with: the one chosen here, where the weekend has it.
 * @param {{tills?: CashBox[]}} sheet
 */
export function ours(sheet) {
  const tills = sheet.tills ?? [];
  return tills.find((each) => String(each.number) === kept())?.number ?? tills[0]?.number ?? 1;
}

/**
 * What a sale says of its cash box; nothing where there is only one.
 * @param {{tills?: CashBox[]}} sheet
 */
export function told(sheet) {
  return (sheet.tills ?? []).length > 1 ? { till: ours(sheet) } : {};
}

/** @param {{tills?: CashBox[]}} sheet */
export function show(sheet) {
  const tills = sheet.tills ?? [];
  byId("boxes").hidden = tills.length < 2;
  if (byId("box").options.length !== tills.length) {
    byId("box").replaceChildren(...tills.map((each) => make("option", { value: String(each.number) }, each.name)));
  }
  byId("box").value = String(ours(sheet));
}

/** Keep what was chosen on this device. */
export function choose() {
  chosen = String(byId("box").value);
  try {
    localStorage.setItem(BOX, chosen);
  } catch {
    // It holds until the page is closed.
  }
}

function kept() {
  try {
    return chosen ?? localStorage.getItem(BOX);
  } catch {
    return null;
  }
}
