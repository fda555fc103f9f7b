/** Who sells on a device that several people share: chosen by a PIN, kept until it is changed. */

import { asked, byId, make } from "./dom.js";
import { LoggedOut, token } from "./sending.js";

const KEPT = "wareboard-seller";

/** @returns {{pass: string, name: string} | null} the one who sells, if not the one logged in */
export function current() {
  try {
    return JSON.parse(localStorage.getItem(KEPT) ?? "null");
  } catch {
    return null;
  }
}

/** What a document says of its seller. */
export const told = () => {
  const seller = current();
  return seller ? { seller: seller.pass } : {};
};

/** @param {any} sheet */
export function show(sheet) {
  byId("sellers").hidden = sheet.sellers.length === 0;
  byId("who-sells").textContent = current()?.name ?? "whoever is logged in";
}

/**
 * Ask who sells from now on, and for their PIN.
 * @param {any} sheet
 * @param {string} address
 * @param {(text: string) => void} say
 */
export async function change(sheet, address, say) {
  byId("seller-who").replaceChildren(
    make("option", { value: "" }, "Whoever is logged in"),
    ...sheet.sellers.map((/** @type {any} */ each) => make("option", { value: String(each.id) }, each.name)));
  byId("seller-pin").value = "";
  if ((await asked(byId("seller"))) !== "take") return;
  const user = byId("seller-who").value;
  if (!user) {
    localStorage.removeItem(KEPT);
    return;
  }
  try {
    localStorage.setItem(KEPT, JSON.stringify(await passFor(address, user, byId("seller-pin").value)));
    say(`${current()?.name} sells from now on.`);
  } catch (error) {
    const lost = error instanceof TypeError || error instanceof LoggedOut;
    say(lost ? "Changing who sells needs a signal. Nothing was changed." : /** @type {Error} */ (error).message);
  }
}

/** @param {string} address @param {string} user @param {string} pin */
async function passFor(address, user, pin) {
  const body = new URLSearchParams({ user, pin });
  const headers = { "X-CSRFToken": token() };
  const response = await fetch(address, { method: "POST", body, headers, redirect: "manual" });
  if (response.type === "opaqueredirect" || response.status === 403) throw new LoggedOut();
  const answer = await response.json();
  if (!response.ok) throw new Error(answer.error);
  return { pass: answer.pass, name: answer.name };
}
