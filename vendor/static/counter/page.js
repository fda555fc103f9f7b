/** The page at the stall: puts tiles, till, outbox and list together. */

import { Basket } from "./basket.js";
import { askPayment } from "./paying.js";
import { asked, byId, painted, plural } from "./dom.js";
import { newKey } from "./keys.js";
import * as days from "./days.js";
import * as device from "./device.js";
import * as finding from "./finding.js";
import { mayBeSold } from "./held.js";
import { openOutbox } from "./outbox.js";
import { LoggedOut, Sender } from "./sending.js";
import * as state from "./state.js";
import { fetchSheet } from "./sheet.js";
import * as seller from "./seller.js";
import * as box from "./box.js";
import * as ordering from "./ordering.js";
import * as pricing from "./pricing.js";
import * as log from "./log.js";
import * as tiles from "./tiles.js";
import * as totes from "./totes.js";
import { nudges, standing as standingTotes } from "./nudging.js";
import * as today from "./today.js";
import * as till from "./till.js";

const page = byId("sell").dataset;
const REFRESH = 60_000;

let basket = new Basket();
/** @type {Basket | null} the sale before this one, to be opened again where it is undone */
let before = null;
/** @type {any} */
let sheet = null;
/** @type {import("./outbox.js").Item[]} */
let items = [];
/** @type {import("./sending.js").Condition} */
let condition = "sent";
/** @type {string[]} what sells now; it stays in its place while a sale is being rung up */
let favourites = [];
/** @type {import("./nudging.js").Nudge[]} what runs low on the table, with more in the totes */
let low = [];

const outbox = await openOutbox();
const sender = new Sender(outbox, { sales: page.sales, undoings: page.undoings, totes: page.totes, commissions: page.commissions, became: page.became }, async (now, found) => {
  condition = now;
  if (found) announce(`${plural(found, "piece")} not in the count: the closing will ask about it.`);
  if (now === "sent") await refresh();
  await draw();
});

/** Fetch the stall as it stands; without a network the one kept last serves. */
async function refresh() {
  const fair = chosenFair();
  try {
    sheet = await fetchSheet(page.stall, fair, sheet);
    await outbox.keepSheet(sheet);
  } catch (error) {
    if (error instanceof LoggedOut) condition = "logged-out";
    else if (condition === "sent") condition = "offline";
    sheet ??= await outbox.keptSheet(fair);
  }
}

/** Show everything anew. */
async function draw() {
  items = await outbox.all();
  state.show(items, condition, outbox.lasts);
  device.show(items);
  if (!sheet) return;
  basket.bundles = sheet.bundles;
  tellLast();
  seller.show(sheet);
  box.show(sheet);
  byId("heading").textContent = `${sheet.day_name} at ${sheet.fair_name}`;
  days.show(sheet);
  const mine = items.filter((item) => item.kind === "undoings" || item.document.fair === sheet.fair);
  const rows = log.rows(sheet.sales, mine);
  if (basket.isEmpty) favourites = today.favourites(rows, new Date());
  const there = standingTotes(sheet.totes, items);
  low = nudges(standing(), there, { rows, before: sheet.sold_before, now: new Date() });
  totes.show(low, there, announce);
  drawSale();
  log.show(rows, sheet, undo);
  ordering.show(ordering.rows(sheet.commissions ?? [], mine, sheet), sheet);
  today.show(rows, standing(), sheet);
}

/** Say under the last sale what became of it, where that is not the usual. */
function tellLast() {
  const last = items.find((item) => item.key === byId("last").dataset.key);
  if (last && last.state !== "unsent" && last.state !== "taken") byId("last-told").textContent = last.reason;
}

/** Show what changes with every tap. */
function drawSale() {
  tiles.show(standing(), basket, byId("seek").value, sheet, { first: favourites, low });
  till.show(basket, sheet, acts);
}

/** The tiles, less what is sold here and not yet sent. */
function standing() {
  return tiles.afterUnsent(sheet.tiles, tiles.stillSold(items));
}

/** @type {import("./till.js").Acts} */
const acts = {
  add,
  set: (line, quantity) => {
    basket.set(line, quantity);
    drawSale();
  },
  regrade: (line) => {
    const other = sheet.tiles.find((/** @type {any} */ each) => each.ware === line.tile.ware && each.grade !== line.tile.grade);
    basket.regrade(line, other);
    drawSale();
  },
  price: async (line) => {
    await pricing.askLine(line, sheet);
    drawSale();
  },
};

/**
 * One piece more; a piece that may be a held one only when the seller has said what it is.
 * @param {import("./basket.js").Tile} shown
 */
async function add(shown) {
  const now = standing().find((each) => each.ware === shown.ware && each.grade === shown.grade) ?? shown;
  if (basket.mayBeHeld(now) && !(await mayBeSold(basket, now))) return;
  if (basket.isEmpty) till.forgetLast();
  basket.add(now);
  announce(`${now.name}: ${basket.count(now)} in this sale`);
  drawSale();
}

/** @param {"cash" | "card"} way */
async function pay(way) {
  const payments = await askPayment(basket, sheet, way);
  if (!payments) return;
  const made = basket.document(sheet, payments, { device: device.deviceName(), ...days.soldWhen() });
  const document = { ...made, ...seller.told(sheet), ...box.told(sheet) };
  const what = document.lines.map((line) => `${line.quantity} × ${line.name}`).join(", ");
  const received = document.figures.total + document.figures.cash_rounding;
  try {
    await keep("sales", document, { at: new Date().toISOString(), received, what });
  } catch {
    // What the disk does not have is not shown as taken.
    till.fold(false);
    till.tellWrong("This device could not write the sale down: it is not taken, and is still open here. Make room on the device and pay again, or write it on paper.");
    return;
  }
  before = basket;
  basket = new Basket(sheet.bundles);
  byId("seek").value = "";
  // First, and alone in its frame, that it is taken and not sent; the rest of the page comes after.
  items = await outbox.all();
  state.show(items, condition, outbox.lasts);
  till.showTaken(document, sheet);
  till.show(basket, sheet, acts);
  await painted();
  await draw();
  sender.flush();
}

/** @param {Event} event a tap on what is said of a tote */
async function saidOfTote(event) {
  const document = totes.said(event);
  if (!document) return;
  await keep("totes", document, { at: document.said_at, received: 0, what: "" });
  announce(document.is_out ? `Tote ${document.tote} is unpacked.` : `Tote ${document.tote} is packed again.`);
  await draw();
  sender.flush();
}

/** Take a commission: a promise to a named customer, and the deposit on it. */
async function order() {
  const told = await ordering.ask(sheet);
  if (!told) return;
  const made = ordering.documentOf(told, sheet, { device: device.deviceName(), ...days.soldWhen() });
  const document = { ...made, ...seller.told(sheet), ...box.told(sheet) };
  await keep("commissions", document, { at: new Date().toISOString(), received: told.deposit?.amount ?? 0, what: told.piece.name });
  announce(`Ordered: ${told.piece.name}.`);
  await draw();
  byId("orders").scrollIntoView({ block: "nearest" });
  sender.flush();
}

/** @param {"sales" | "undoings" | "totes" | "commissions"} kind @param {any} document @param {{at: string, received: number, what: string}} more */
function keep(kind, document, more) {
  return outbox.put({ key: document.key, kind, document, state: "unsent", number: null, reason: "", ...more });
}

/** @param {{key: string, what: string, received: number}} row */
async function undo(row) {
  byId("undo-what").textContent = row.what;
  byId("undo-reason").value = "";
  const answer = await asked(byId("undo"));
  const reason = answer === "own" ? byId("undo-reason").value.trim() : answer;
  if (answer === "" || answer === "back" || !reason) return;
  await undoFor(row, reason);
}

/** @param {{key: string, what: string}} row @param {string} reason */
async function undoFor(row, reason) {
  const document = { format: "wareboard.undo", version: 1, key: newKey(), sale: row.key, reason, ...seller.told(sheet) };
  await keep("undoings", document, { at: new Date().toISOString(), received: 0, what: row.what });
  if (byId("last").dataset.key === row.key) till.forgetLast();
  announce("Undone: the pieces are back on the stall.");
  await draw();
  sender.flush();
}

/** Undo the sale that was just taken, and open it again to put it right. */
async function undoLast() {
  const { key } = byId("last").dataset;
  const row = log.rows(sheet.sales, items).find((each) => each.key === key);
  if (!row || !before) return;
  basket = before;
  before = null;
  await undoFor(row, "Undone by the seller at once");
}

/** Let somebody else sell; what waited for their PIN is taken now. */
async function changeSeller() {
  const given = await seller.change(sheet, page.seller, (text) => {
    byId("device-said").textContent = text;
    announce(text);
  });
  seller.show(sheet);
  if (!given) return;
  await outbox.undoAgain();
  await sender.askAgain();
  await sender.flush();
}

/** @param {string} text */
function announce(text) {
  byId("said").textContent = text;
}

/** @returns {number | null} */
function chosenFair() {
  const chosen = byId("fair")?.value ?? "";
  return chosen ? Number(chosen) : null;
}

finding.wire({ standing, add, count: (tile) => basket.count(tile), typed: drawSale, announce });
byId("cash").addEventListener("click", () => pay("cash"));
byId("card").addEventListener("click", () => pay("card"));
byId("open-sale").addEventListener("click", () => till.fold(byId("open-sale").getAttribute("aria-expanded") === "true"));
byId("clear").addEventListener("click", () => {
  basket = new Basket(sheet.bundles);
  drawSale();
});
byId("ask-whole").addEventListener("click", async () => {
  await pricing.askWhole(basket, sheet);
  drawSale();
});
byId("order-one").addEventListener("click", order);
byId("undo-last").addEventListener("click", undoLast);
for (const id of ["nudges", "tote-list"]) byId(id).addEventListener("click", saidOfTote);
byId("late-day").addEventListener("change", () => days.show(sheet));
byId("box").addEventListener("change", box.choose);
byId("fair")?.addEventListener("change", async () => {
  sheet = null;
  basket = new Basket();
  await refresh();
  await draw();
});
globalThis.addEventListener("online", () => sender.flush());
document.addEventListener("visibilitychange", () => document.hidden || sender.flush());
setInterval(() => document.hidden || sender.flush(), REFRESH);

byId("change-seller").addEventListener("click", changeSeller);
byId("give-pin").addEventListener("click", changeSeller);
device.wire(outbox, {
  say: (text) => {
    byId("device-said").textContent = text;
  },
  changed: async () => {
    await draw();
    await sender.flush();
  },
});

await refresh();
await draw();
await outbox.tidy(new Date());
await sender.askAgain();
await sender.flush();
byId("sell").dataset.ready = "";
await device.startOffline(page.worker);
byId("sell").dataset.offline = "";
