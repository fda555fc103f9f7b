/** Asks before a piece is sold that may be a held one: whose it is, or that it is another. */

import { asked, byId, make } from "./dom.js";

/**
 * @param {import("./basket.js").Basket} basket it keeps what was said
 * @param {import("./basket.js").Tile} tile @returns {Promise<boolean>} whether it may be sold
 */
export async function mayBeSold(basket, tile) {
  const open = tile.holds.filter((hold) => !basket.overridden.has(hold.id));
  byId("held-what").textContent = `No free ${tile.name} is left on record: ${open.map((hold) => hold.label).join(", ")} is held here.`;
  byId("held-choices").replaceChildren(
    ...open.map((hold) => make("button", { class: "btn harm wide", value: String(hold.id) },
      `Sell the piece of ${hold.label}`, make("small", {}, "it is owed again"))));
  const answer = await asked(byId("held"));
  if (answer === "other") basket.notTheHeld.add(`${tile.ware} ${tile.grade}`);
  else if (answer && answer !== "back") basket.overridden.add(Number(answer));
  return answer !== "" && answer !== "back";
}
