/**
 * The totes at the stall: what is still in them, one tap when one is unpacked, and what to bring
 * out of them now.
 *
 * @typedef {import("./nudging.js").Tote} Tote
 * @typedef {import("./nudging.js").Nudge} Nudge
 */

import { byId, make, plural } from "./dom.js";
import { newKey } from "./keys.js";
import { inWords } from "./nudging.js";

let saidAloud = "";

/**
 * Show the nudges, and the totes with what is in them.
 * @param {Nudge[]} nudges
 * @param {Tote[]} totes
 * @param {(text: string) => void} announce says the nudges aloud, once
 */
export function show(nudges, totes, announce) {
  byId("nudges").replaceChildren(...nudges.map(nudgeRow));
  byId("nudges").hidden = nudges.length === 0;
  const words = nudges.map(inWords).join(". ");
  if (words && words !== saidAloud) announce(words);
  saidAloud = words;
  const out = totes.filter((tote) => tote.is_out).length;
  byId("totes").hidden = totes.length === 0;
  byId("totes-told").textContent = out ? `Totes: ${out} of ${totes.length} unpacked` : "Totes: tap each one that is unpacked";
  byId("tote-list").replaceChildren(...totes.map(toteRow));
}

/** @param {Nudge} nudge */
function nudgeRow(nudge) {
  return make("li", {}, make("b", {}, inWords(nudge)),
    make("span", { class: "acts" }, ...nudge.packed.map(({ mark, packing_list }) => button(packing_list, mark, true, `Tote ${mark} is unpacked`))));
}

/** @param {Tote} tote */
function toteRow({ packing_list, mark, is_out, pieces }) {
  const sum = pieces.reduce((all, each) => all + each.quantity, 0);
  const label = is_out ? `Pack tote ${mark} again` : `Tote ${mark} is unpacked`;
  return make("li", {}, make("span", {}, `Tote ${mark}`), make("span", { class: "quiet small" }, `${plural(sum, "piece")} packed`),
    make("span", { class: is_out ? "why state good" : "why" }, is_out ? "on the table" : "in the tote"),
    make("span", { class: "acts" }, button(packing_list, mark, !is_out, label)));
}

/** @param {number} list @param {string} mark @param {boolean} out @param {string} label */
const button = (list, mark, out, label) =>
  make("button", { type: "button", class: "btn plain", "data-list": String(list), "data-mark": mark, "data-out": String(out) }, label);

/**
 * The document of what was tapped (see vendor/counter/totes.py), null where it was no such button.
 * @param {Event} event
 */
export function said(event) {
  const tapped = /** @type {Element} */ (event.target).closest("button");
  const { list, mark, out } = /** @type {any} */ (tapped)?.dataset ?? {};
  if (mark === undefined) return null;
  return {
    format: "wareboard.tote", version: 1, key: newKey(), packing_list: Number(list), tote: mark,
    is_out: out === "true", said_at: new Date().toISOString(),
  };
}
