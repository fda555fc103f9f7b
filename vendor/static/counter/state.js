/** The line that always says whether every sale is sent, and if not, how many are kept here. */

import { byId, plural } from "./dom.js";

/**
 * @param {import("./outbox.js").Item[]} items
 * @param {import("./sending.js").Condition} condition
 * @param {boolean} lasts whether the browser keeps what is sold
 */
export function show(items, condition, lasts) {
  const unsent = items.filter((item) => item.state === "unsent").length;
  const now = unsent && condition === "sent" ? "sending" : condition;
  const state = byId("state");
  const sales = items.some((item) => item.state === "unsent" && item.kind !== "sales") ? plural(unsent, "entry", "entries") : plural(unsent, "sale");
  const kept = `${sales} kept on this device`;
  const told = {
    sent: "Every sale is sent",
    sending: unsent ? `Sending ${sales}` : "Every sale is sent",
    offline: unsent ? `No signal: ${kept}, sent when it is back` : "No signal: sales are kept on this device",
    "logged-out": unsent ? `Logged out: ${kept}` : "Logged out: sales are kept on this device",
    trouble: unsent ? `The server does not answer: ${kept}` : "The server does not answer",
  }[now];
  state.className = `state ${now === "sent" || (now === "sending" && !unsent) ? "good" : "warn"}`;
  if (state.textContent !== told) state.textContent = told;
  byId("log-in").hidden = condition !== "logged-out";
  byId("not-kept").hidden = lasts;
}
