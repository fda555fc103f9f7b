/** The page on which each piece is counted once, by scanning its tag or tapping its pot. */

import * as camera from "../counter/camera.js";
import { byId, make } from "../counter/dom.js";
import { typedAnywhere } from "../counter/finding.js";
import { newKey } from "../counter/keys.js";
import { ask, conditionOf, post } from "../counter/sending.js";
import { matches, meant } from "../counter/tiles.js";
import { begun, Pass, spotOf } from "./pass.js";
import { say, show as showPass, tellState } from "./shown.js";

/**
 * @typedef {{id: number, ware: string, grade: string, number: string, name: string}} Tag
 * @typedef {{id: number, ware: number, grade: string, quantity: number, label: string,
 *   first_name: string, name: string}} Held
 * @typedef {{key: string, number: number, kind: string, where: string,
 *   mine: Record<string, number>}} Running
 */

const page = byId("tally").dataset;
const KEPT = `wareboard-count-${page.weekend}-${page.who}`;
const AGAIN = 10_000;
/** @type {Running[]} */
const running = JSON.parse(byId("running").textContent);
/** @type {Held[]} */
const holds = JSON.parse(byId("holds").textContent);

/** @type {Tag[] | null} */
let tags = null;
/** @type {Pass | null} */
let pass = null;
let number = 0;
let condition = "sent";
let busy = false;

/** @param {import("./pass.js").Kept | null} kept */
function keep(kept) {
  try {
    if (kept) localStorage.setItem(KEPT, JSON.stringify(kept));
    else localStorage.removeItem(KEPT);
  } catch {
    condition = "not-kept";
  }
}

/** The pass that this device was in, unless it has been ended and everything of it is sent. */
function kept() {
  try {
    /** @type {import("./pass.js").Kept | null} */
    const found = JSON.parse(localStorage.getItem(KEPT) ?? "null");
    const known = running.find((each) => each.key === found?.going.key);
    if (!found || (!known && found.unsent.length === 0 && found.done.length > 0)) return null;
    return known ? { ...found, mine: known.mine } : found;
  } catch {
    return null;
  }
}

/** @param {import("./pass.js").Kept} state */
function goOn(state) {
  pass = new Pass(state, keep);
  number = running.find((each) => each.key === state.going.key)?.number ?? 0;
  byId("begin").hidden = true;
  byId("counting").hidden = false;
  byId("line").hidden = false;
  changed();
}

function offerToBegin() {
  byId("going-on").replaceChildren(...running.map((each) => make("label", {},
    make("input", { type: "radio", name: "kind", value: each.key, checked: true }),
    ` Go on with pass ${each.number}${each.where ? `, ${each.where}` : ""}`)));
  byId("begin").hidden = false;
}

/** @param {SubmitEvent} event */
function begin(event) {
  event.preventDefault();
  const kind = /** @type {any} */ (document.querySelector("#begin input[name=kind]:checked")).value;
  const old = running.find((each) => each.key === kind);
  const going = old ? { key: old.key, kind: old.kind, where: old.where } : { key: newKey(), kind, where: byId("corner").value.trim() };
  goOn(begun(going, old?.mine));
}

/** @param {string} spot */
const nameOf = (spot) => tags?.find((tag) => `${tag.id} ${tag.grade}` === spot)?.name ??
  document.querySelector(`[data-spot="${spot}"] .name`)?.textContent ?? holds.find((each) => spotOf(each) === spot)?.name ?? "A piece";

/** @param {{ware: number, grade: string}} piece @param {Held | null} [held] */
function count(piece, held = null) {
  if (!pass) return;
  if (held && pass.seen(held.id) >= held.quantity) {
    say(`${held.label} is counted already.`);
    return;
  }
  pass.add(piece, held?.id ?? null);
  const spot = spotOf(piece);
  say(`${held ? `${held.label}: ` : ""}${nameOf(spot)}: ${pass.figure(spot)}`);
  changed();
}

/** @param {string} code what a scanner or the camera read, or a person typed */
function scanned(code) {
  if (!pass || !code.trim()) return;
  const held = promised(code);
  const tag = held ? null : tags && meant(/** @type {any[]} */ (tags), code);
  if (held) count(held, held);
  else if (tag) count({ ware: /** @type {any} */ (tag).id, grade: tag.grade }, null);
  else {
    pass.missed(code.trim());
    say(tags ? `No tag says “${code.trim()}”. It is kept.` : `“${code.trim()}” is kept until the tags can be looked up.`);
    show();
  }
  byId("camera-said").textContent = byId("said").textContent;
}

/**
 * The held piece whose tag says so: what it is held for, or for whom.
 * @param {string} text
 */
function promised(text) {
  const told = text.trim().toLowerCase().replace(/^for /, "");
  const found = holds.filter((each) => told === each.label.toLowerCase() || told === each.first_name.toLowerCase());
  return told && found.length === 1 ? found[0] : null;
}

function undo() {
  const last = pass?.undo();
  if (!pass || !last) return;
  say(`Taken back. ${nameOf(spotOf(last))}: ${pass.figure(spotOf(last))}`);
  changed();
}

function show() {
  if (!pass) return;
  showPass(pass, { nameOf, hasTags: () => tags !== null, changed });
  tellState(pass, condition);
}

function changed() {
  show();
  flush();
}

async function flush() {
  if (!pass || busy) return;
  const scans = pass.batch();
  if (scans.length === 0) {
    tellState(pass, condition);
    return;
  }
  busy = true;
  try {
    const answer = await post(page.scans ?? "", { format: "wareboard.scans", version: 1, pass: pass.kept.going, scans });
    condition = "sent";
    byId("refused").hidden = !answer.refused;
    byId("refused").textContent = answer.refused ?? "";
    if (!answer.refused) {
      number = answer.pass;
      pass.answered(answer.answers, answer.mine);
    }
    busy = false;
    if (!answer.refused) await flush();
  } catch (error) {
    condition = conditionOf(error);
  }
  busy = false;
  show();
}

/** Fetch what tags can say; codes that came before are looked up then. */
async function lookUp() {
  if (tags) return;
  try {
    tags = (await ask(page.tags ?? "")).tags;
  } catch {
    return;
  }
  const waiting = Object.entries(pass?.kept.unknown ?? {});
  for (const [code, times] of waiting) {
    pass?.putAside(code);
    for (let each = 0; each < times; each += 1) scanned(code);
  }
  show();
}

/** @param {SubmitEvent} event */
async function end(event) {
  event.preventDefault();
  if (!pass) return;
  await flush();
  const open = Object.keys(pass.kept.asked).length + Object.keys(pass.kept.unknown).length;
  if (open) {
    byId("end-told").textContent = "Not ended yet: settle first what stands open above the pots.";
    byId("open").scrollIntoView({ block: "center" });
  } else if (!pass.isSent) {
    byId("end-told").textContent = `Not ended yet: ${pass.kept.unsent.length} not sent. They are kept here, and sent when the network is back.`;
  } else {
    keep(null);
    const form = byId("end");
    if (!number) location.assign(/** @type {any} */ (document.querySelector("a.back")).href);
    else {
      form.action = (page.end ?? "").replace(/0(\/end\/)$/, `${number}$1`);
      form.submit();
    }
  }
}

/** Show the pots whose name or code is typed. */
function filter() {
  const typed = byId("seek").value;
  for (const button of document.querySelectorAll("#pots [data-spot]")) {
    const spot = button.getAttribute("data-spot") ?? "";
    const tag = tags?.find((each) => `${each.id} ${each.grade}` === spot);
    const shown = !tag || !typed.trim() || matches(/** @type {any} */ (tag), typed);
    /** @type {any} */ (button.closest("li")).hidden = !shown;
  }
}

byId("begin").addEventListener("submit", begin);
byId("end").addEventListener("submit", end);
byId("undo").addEventListener("click", undo);
byId("find").addEventListener("submit", (/** @type {SubmitEvent} */ event) => {
  event.preventDefault();
  const { value } = byId("seek");
  byId("seek").value = "";
  filter();
  scanned(value);
});
byId("seek").addEventListener("input", filter);
byId("scan").hidden = !camera.isThere();
byId("scan").addEventListener("click", () => camera.scan(scanned));
byId("pots").addEventListener("click", (/** @type {Event} */ event) => {
  const spot = /** @type {Element} */ (event.target).closest("button")?.getAttribute("data-spot");
  const [ware, grade] = (spot ?? "").split(" ");
  if (ware) count({ ware: Number(ware), grade });
});
document.addEventListener("click", (event) => {
  const id = /** @type {Element} */ (event.target).closest("[data-hold]")?.getAttribute("data-hold");
  const held = holds.find((each) => String(each.id) === id);
  if (held) count(held, held);
});
document.addEventListener("keydown", typedAnywhere);
globalThis.addEventListener("online", () => flush());
setInterval(() => {
  lookUp();
  flush();
}, AGAIN);

const before = kept();
if (before) goOn(before);
else offerToBegin();
await lookUp();
byId("tally").dataset.ready = "";
