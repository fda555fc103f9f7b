/** Finds the ware that is meant: by a tap on its tile, what is typed, a scanner or the camera. */

import * as camera from "./camera.js";
import { spotOf } from "./basket.js";
import { byId } from "./dom.js";
import * as tiles from "./tiles.js";

/**
 * @typedef {import("./basket.js").Tile} Tile
 * @typedef {object} Acts what the page does with it
 * @property {() => Tile[]} standing the tiles as they stand
 * @property {(tile: Tile) => Promise<void>} add one piece more
 * @property {(tile: Tile) => number} count how many are in this sale
 * @property {() => void} typed something was typed into the search
 * @property {(text: string) => void} announce
 */

/** @param {Acts} acts */
export function wire(acts) {
  byId("tiles").addEventListener("click", (/** @type {Event} */ event) => tapped(event, acts));
  byId("find").addEventListener("submit", (/** @type {SubmitEvent} */ event) => found(event, acts));
  byId("seek").addEventListener("input", acts.typed);
  document.addEventListener("keydown", typedAnywhere);
  byId("scan").hidden = !camera.isThere();
  byId("scan").addEventListener("click", () => camera.scan((code) => scanned(code, acts)));
}

/** @param {Event} event @param {Acts} acts */
function tapped(event, { standing, add }) {
  const spot = /** @type {Element} */ (event.target).closest("button")?.getAttribute("data-spot");
  const tile = standing().find((each) => spotOf(each) === spot);
  if (tile) add(tile);
}

/**
 * Enter ends what was scanned or typed: it is added.
 * @param {SubmitEvent} event @param {Acts} acts
 */
function found(event, { standing, add, announce }) {
  event.preventDefault();
  const seek = byId("seek");
  const tile = seek.value.trim() && tiles.meant(standing(), seek.value);
  if (!tile) {
    if (seek.value.trim()) announce(`Nothing, or more than one, is “${seek.value.trim()}”.`);
    return;
  }
  seek.value = "";
  add(tile);
}

/** @param {string} code what the camera read @param {Acts} acts */
async function scanned(code, { standing, add, count }) {
  const tile = tiles.meant(standing(), code);
  if (tile) await add(tile);
  byId("camera-said").textContent = tile ? `${tile.name}: ${count(tile)} in this sale` : `No ware has the code ${code}.`;
}

/** @param {KeyboardEvent} event a scanner types wherever the focus is: what it types goes to the search */
export function typedAnywhere(event) {
  const target = /** @type {Element} */ (event.target);
  const busy = target.closest("input, textarea, select, dialog[open]") || document.querySelector("dialog[open]");
  if (busy || event.key.length !== 1 || event.key === " " || event.ctrlKey || event.metaKey || event.altKey) return;
  byId("seek").focus();
}
