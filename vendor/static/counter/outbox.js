/**
 * What this device has sold and not yet sent: kept in the browser's own database, so that a
 * closed page, an empty battery or a lost network loses no sale.
 *
 * @typedef {"unsent" | "taken" | "kept" | "aside" | "malformed" | "refused"} State
 * @typedef {{key: string, kind: "sales" | "undoings" | "commissions" | "totes", document: any, state: State, number: number | null,
 *   reason: string, at: string, received: number, what: string}} Item
 */

import { isSettled, keptSheet, scrubbed } from "./keeping.js";

// Undoings were called so by an edition before this one, and a device may still hold some unsent.
const FORMER_UNDOINGS = "voids";

/**
 * An item as it is called now.
 * @param {any} item
 * @returns {Item}
 */
export const asCalledNow = (item) => (item?.kind === FORMER_UNDOINGS ? { ...item, kind: "undoings" } : item);

const NAME = "wareboard-counter";
const VERSION = 1;
// What the server has is kept here so long after, without a word that somebody wrote.
const KEPT_FOR = 2 * 24 * 3600 * 1000;

/** @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
const done = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

/** @param {IDBTransaction} transaction @returns {Promise<void>} */
const finished = (transaction) =>
  new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = transaction.onerror = () => reject(transaction.error);
  });

/** Open the device's outbox; where the browser keeps nothing, one that lasts as long as the page. */
export async function openOutbox() {
  try {
    const request = indexedDB.open(NAME, VERSION);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("items", { keyPath: "key" });
      request.result.createObjectStore("sheets", { keyPath: "fair" });
    };
    const outbox = new Outbox(await done(request));
    await outbox.read();
    return outbox;
  } catch {
    return new Outbox(null);
  }
}

/**
 * All items, as the database has them; read once, as reading a thousand takes longer than a tap.
 * Pages in other tabs of the device say what they wrote, and it is read anew.
 */
export class Outbox {
  /** @param {IDBDatabase | null} database */
  constructor(database) {
    this.database = database;
    /** @type {Map<string, Item>} */
    this.items = new Map();
    /** @type {any} */
    this.sheet = null;
    this.others = database && globalThis.BroadcastChannel ? new BroadcastChannel(NAME) : null;
    this.others?.addEventListener("message", () => this.read());
  }

  /** Whether what is sold outlasts this page. */
  get lasts() {
    return this.database !== null;
  }

  /** Read what the database has. */
  async read() {
    if (!this.database) return;
    /** @type {any[]} */
    const found = await done(this.database.transaction("items").objectStore("items").getAll());
    this.items = new Map(found.map(asCalledNow).map((item) => [item.key, { ...item, reason: item.reason || this.items.get(item.key)?.reason || "" }]));
  }

  /** @param {Item} item as it is from now on; what needs not be kept of it is not written */
  async put(item) {
    const kept = scrubbed(asCalledNow(item));
    await this.write((store) => store.put(kept));
    this.items.set(item.key, { ...kept, reason: item.reason });
  }

  /** @param {(store: IDBObjectStore) => void} change what to do to the items, all at once */
  async write(change) {
    if (!this.database) return;
    // Strict: the sale is on the disk before the customer is told that it is taken.
    const transaction = this.database.transaction("items", "readwrite", { durability: "strict" });
    change(transaction.objectStore("items"));
    await finished(transaction);
    this.others?.postMessage("written");
  }

  /** @param {string | null} key @returns {Promise<Item | undefined>} */
  async get(key) {
    return key === null ? undefined : this.items.get(key);
  }

  /** @returns {Promise<Item[]>} all items, oldest first */
  async all() {
    return [...this.items.values()].sort((a, b) => (a.at < b.at ? -1 : a.at > b.at ? 1 : 0));
  }

  async unsent() {
    return (await this.all()).filter((item) => item.state === "unsent");
  }

  /**
   * Write down what the server answered; an item that was taken meanwhile stays so.
   * @param {{key: string | null, outcome: string, number: number | null, reason: string}} answer
   */
  async answered(answer) {
    /** @type {Record<string, State>} */
    const states = { taken: "taken", had: "taken", kept: "kept", aside: "aside", malformed: "malformed", refused: "refused" };
    const state = states[answer.outcome];
    const item = await this.get(answer.key);
    if (item && state) await this.put({ ...item, state, number: answer.number, reason: answer.reason });
  }

  /** Send again the undoings that were refused: who may undo has changed. */
  async undoAgain() {
    for (const item of await this.all()) {
      if (item.state === "refused" && item.kind === "undoings") await this.put({ ...item, state: "unsent", reason: "" });
    }
  }

  /**
   * Forget what the server has had for long, and of the rest of what it has, every word.
   * @param {Date} now
   */
  async tidy(now) {
    const old = new Date(now.getTime() - KEPT_FOR).toISOString();
    const all = await this.all();
    const gone = all.filter((item) => (item.state === "taken" || item.state === "aside" || item.state === "refused") && item.at < old);
    const had = all.filter((item) => isSettled(item) && !gone.includes(item));
    await this.write((store) => {
      for (const item of gone) store.delete(item.key);
      for (const item of had) store.put(scrubbed(item));
    });
    for (const item of gone) this.items.delete(item.key);
    for (const item of had) this.items.set(item.key, { ...scrubbed(item), reason: item.reason });
  }

  /** @param {any} sheet the stall as it stands, to sell from without a network; people's names are not kept */
  async keepSheet(sheet) {
    this.sheet = sheet;
    if (!this.database) return;
    const transaction = this.database.transaction("sheets", "readwrite");
    const store = transaction.objectStore("sheets");
    // Those of other fairs too: an edition before this one kept the names.
    const others = await done(store.getAll());
    for (const each of [...others, sheet]) store.put(keptSheet(each));
    await finished(transaction);
  }

  /** @param {number | null} fair @returns {Promise<any>} the sheet that was kept last, or null */
  async keptSheet(fair) {
    if (!this.database) return this.sheet;
    const sheets = await done(this.database.transaction("sheets").objectStore("sheets").getAll());
    const wanted = fair === null ? sheets : sheets.filter((sheet) => sheet.fair === fair);
    return wanted.sort((a, b) => (a.now < b.now ? 1 : -1))[0] ?? null;
  }

  /** Forget everything, as at the end of a login; where something is not sent, nothing is. */
  async forget() {
    await this.read();
    if (!this.database || (await this.only()).length) return;
    const transaction = this.database.transaction(["items", "sheets"], "readwrite", { durability: "strict" });
    transaction.objectStore("items").clear();
    transaction.objectStore("sheets").clear();
    await finished(transaction);
    this.items.clear();
    this.others?.postMessage("written");
  }

  /** What is on this device only. */
  async only() {
    return (await this.all()).filter((item) => item.state === "unsent" || item.state === "malformed");
  }
}
