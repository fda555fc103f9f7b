/**
 * Who sells on a device that several people share: chosen by a PIN, kept until it is changed.
 *
 * What is kept is a number. Whether it is to be believed, the server knows: it remembers with the
 * login whose PIN was given on it.
 */

import { asked, byId, make } from "./dom.js";
import { LoggedOut, token } from "./sending.js";

const KEPT = "wareboard-seller";

/** @returns {number | null} the number of the one who sells, if not the one logged in */
export function current() {
  try {
    const kept = localStorage.getItem(KEPT);
    if (kept === null) return null;
    if (/^[0-9]+$/.test(kept)) return Number(kept);
    // An edition before this one kept a name and a pass here.
    localStorage.removeItem(KEPT);
  } catch {
    // Where the browser keeps nothing, whoever is logged in sells.
  }
  return null;
}

/** @param {number | null} seller */
function choose(seller) {
  if (seller === null) localStorage.removeItem(KEPT);
  else localStorage.setItem(KEPT, String(seller));
}

/**
 * What a document says of its seller.
 * @param {any} sheet
 */
export const told = (sheet) => ({ seller: current() ?? sheet.you.id });

/** @param {any} sheet @param {number} id */
export function nameOf(sheet, id) {
  const { name } = sheet.sellers.find((/** @type {any} */ each) => each.id === id) ?? { name: "" };
  return name ? `${name}, seller ${id}` : `seller ${id}`;
}

/**
 * Whether the server wants the PIN of the one who sells, to believe it.
 * @param {any} sheet
 */
export function isPinWanted(sheet) {
  const seller = current();
  if (seller === null || !sheet.vouched || sheet.you.is_owner) return false;
  return seller !== sheet.you.id && !sheet.vouched.includes(seller);
}

/** @param {any} sheet */
export function show(sheet) {
  const seller = current();
  byId("sellers").hidden = sheet.sellers.length === 0 && seller === null;
  byId("who-sells").textContent = seller === null ? "whoever is logged in" : nameOf(sheet, seller);
  byId("pin-wanted").hidden = !isPinWanted(sheet);
  if (seller !== null) byId("pin-of").textContent = nameOf(sheet, seller);
}

/**
 * Ask who sells from now on, and for their PIN.
 * @param {any} sheet
 * @param {string} address
 * @param {(text: string) => void} say
 * @returns {Promise<boolean>} whether the server took a PIN
 */
export async function change(sheet, address, say) {
  byId("seller-who").replaceChildren(
    make("option", { value: "" }, "Whoever is logged in"),
    ...sheet.sellers.map((/** @type {any} */ each) => make("option", { value: String(each.id) }, nameOf(sheet, each.id))));
  byId("seller-who").value = String(current() ?? "");
  byId("seller-pin").value = "";
  if ((await asked(byId("seller"))) !== "take") return false;
  const user = byId("seller-who").value;
  if (!user) {
    choose(null);
    return false;
  }
  const name = nameOf(sheet, Number(user));
  try {
    await vouch(address, user, byId("seller-pin").value);
    choose(Number(user));
    sheet.vouched = [...(sheet.vouched ?? []), Number(user)];
    say(`${name} sells from now on.`);
    return true;
  } catch (error) {
    const lost = error instanceof TypeError || error instanceof LoggedOut;
    if (lost) choose(Number(user));
    say(lost ? `${name} sells from now on. The PIN is asked for again when there is a signal; the sales wait for it.` : /** @type {Error} */ (error).message);
    return false;
  } finally {
    byId("seller-pin").value = "";
  }
}

/** @param {string} address @param {string} user @param {string} pin */
async function vouch(address, user, pin) {
  const body = new URLSearchParams({ user, pin });
  const headers = { "X-CSRFToken": token() };
  const response = await fetch(address, { method: "POST", body, headers, redirect: "manual" });
  if (response.type === "opaqueredirect" || response.status === 403) throw new LoggedOut();
  if (!response.ok) throw new Error((await response.json()).error);
}
