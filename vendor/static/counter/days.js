/** The day that is sold on: now, or one that is over, for sales written on paper; its clock. */

import { byId, make } from "./dom.js";

/**
 * Say where no day is open today, and offer the days that are over for sales written on paper.
 * @param {any} sheet
 */
export function show(sheet) {
  const late = byId("late-day");
  byId("late").hidden = sheet.late.length === 0;
  if (late.options.length !== sheet.late.length + 1) {
    late.replaceChildren(make("option", { value: "" }, "Now"), ...sheet.late.map((/** @type {any} */ each) => make("option", { value: each.at }, each.name)));
  }
  byId("no-day").hidden = sheet.is_selling_day || Boolean(late.value);
  byId("next-day").textContent = sheet.day >= sheet.now.slice(0, 10) ? `The next is ${sheet.day_told}.` : "";
}

/**
 * What writes a moment as the studio's clock shows it.
 * @param {{language: string, time_zone: string}} sheet
 */
export const clockOf = (sheet) => new Intl.DateTimeFormat(sheet.language, { timeStyle: "short", timeZone: sheet.time_zone });

/** When a sale is sold: now by this device's clock, or on a day that is over, written down on paper. */
export function soldWhen() {
  const late = byId("late-day").value;
  return late ? { at: new Date(late), later: true } : { at: new Date() };
}
