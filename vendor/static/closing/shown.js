/** Shows a pass of counting: what each pot has by now, what is to be settled, what is sent. */

import { byId, make, plural } from "../counter/dom.js";

/**
 * @typedef {import("./pass.js").Pass} Pass
 * @typedef {object} Page what the page knows, and does
 * @property {(spot: string) => string} nameOf
 * @property {() => boolean} hasTags whether a code can be looked up by now
 * @property {() => void} changed something that stood open was answered
 */

const KINDS = /** @type {Record<string, string>} */ ({
  first: "The first time round",
  elsewhere: "Another corner, added to what is counted",
  again: "Once more, instead of what is counted",
});

/** @param {Pass} pass @param {Page} page */
export function show(pass, page) {
  for (const button of document.querySelectorAll("#pots [data-spot]")) mark(pass, /** @type {HTMLElement} */ (button));
  for (const button of document.querySelectorAll("[data-hold]")) {
    const seen = pass.seen(Number(button.getAttribute("data-hold")));
    button.classList.toggle("seen", seen > 0);
    button.setAttribute("aria-pressed", String(seen > 0));
  }
  byId("mine").replaceChildren(...pass.spots.map((spot) =>
    make("li", {}, make("span", {}, page.nameOf(spot)), make("span", { class: "n" }, String(pass.figure(spot))))));
  const { kind, where } = pass.kept.going;
  byId("pass-told").textContent = `${KINDS[kind]}${where ? `: ${where}` : ""}. ${plural(pass.pieces, "piece")}.`;
  byId("undo").disabled = pass.kept.done.length === 0;
  byId("open").replaceChildren(...questions(pass, page), ...unknown(pass, page), ...told(pass, page));
}

/** @param {string} text what was just counted */
export function say(text) {
  const place = byId("said");
  place.textContent = text;
  // Seen at a glance, without a sound: the line lights up anew with every piece.
  place.classList.remove("fresh");
  void place.offsetWidth;
  place.classList.add("fresh");
}

/** @param {Pass} pass @param {string} condition of the network, or “not-kept” */
export function tellState(pass, condition) {
  const waiting = pass.kept.unsent.length;
  const keptHere = `${waiting} not sent yet, kept on this device`;
  const all = /** @type {Record<string, string>} */ ({
    sent: waiting ? keptHere : "Everything is sent",
    offline: `No signal: ${keptHere}`,
    "logged-out": `Logged out: ${keptHere}. Log in and come back`,
    trouble: `The server does not answer: ${keptHere}`,
    "not-kept": "This browser keeps nothing: stay on this page until all is sent",
  });
  const minds = waiting > 0 || condition === "not-kept";
  byId("state").textContent = minds ? all[condition] : all.sent;
  byId("state").className = `state ${minds ? "warn" : "good"}`;
}

/** @param {Pass} pass @param {HTMLElement} button */
function mark(pass, button) {
  const figure = pass.figure(button.dataset.spot ?? "");
  button.querySelector(".count")?.remove();
  if (figure) button.append(make("span", { class: "count" }, String(figure), make("span", { class: "hid" }, " in this pass")));
}

/** @param {Pass} pass @param {Page} page */
function questions(pass, { nameOf, changed }) {
  return Object.entries(pass.kept.asked).map(([spot, reason]) => make("li", {},
    make("span", {}, make("b", {}, `${nameOf(spot)}: ${pass.figure(spot)}`), ` ${reason} How do yours stand to that?`),
    make("span", { class: "acts" },
      act("They stand elsewhere too", () => pass.say(spot, "elsewhere"), nameOf(spot), changed),
      act("Counted again: mine hold", () => pass.say(spot, "again"), nameOf(spot), changed))));
}

/** @param {Pass} pass @param {Page} page */
function unknown(pass, { hasTags, changed }) {
  return Object.entries(pass.kept.unknown).map(([code, times]) => make("li", {},
    make("span", {}, make("b", {}, code), ` ${hasTags() ? "is on no tag" : "waits for the tags"}${times > 1 ? `, ${times} times` : ""}. Find the pot by its name and tap it.`),
    act("Put it aside", () => pass.putAside(code), code, changed)));
}

/** @param {Pass} pass @param {Page} page */
function told(pass, { changed }) {
  return pass.kept.told.map((reason) => make("li", {}, make("span", {}, reason), act("Read", () => pass.read(reason), reason, changed)));
}

/** @param {string} words @param {() => void} does @param {string} about @param {() => void} changed */
function act(words, does, about, changed) {
  return make("button", { type: "button", class: "btn", onclick: () => {
    does();
    changed();
  } }, words, make("span", { class: "hid" }, `: ${about}`));
}
