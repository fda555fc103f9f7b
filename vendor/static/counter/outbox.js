/**
 * What this device has sold and not yet sent: kept in the browser's own database, so that a
 * closed page, an empty battery or a lost network loses no sale.
 *
 * @typedef {"unsent" | "taken" | "kept" | "aside" | "malformed" | "refused"} State
 * @typedef {{key: string, kind: "sales" | "undoings", document: any, state: State, number: number | null,
 *   reason: string, at: string, received: number, what: string}} Item
 */

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
// Sales that the server has are kept here so long after, to look back at.
const KEPT_FOR = 14 * 24 * 3600 * 1000;

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
    return new Outbox(await done(request));
  } catch {
    return new Outbox(null);
  }
}

export class Outbox {
  /** @param {IDBDatabase | null} database */
  constructor(database) {
    this.database = database;
    /** @type {Map<string, Item>} */
    this.items = new Map();
    /** @type {any} */
    this.sheet = null;
  }

  /** Whether what is sold outlasts this page. */
  get lasts() {
    return this.database !== null;
  }

  /** @param {Item} item */
  async put(item) {
    if (!this.database) {
      this.items.set(item.key, item);
      return;
    }
    // Strict: the sale is on the disk before the customer is told that it is taken.
    const transaction = this.database.transaction("items", "readwrite", { durability: "strict" });
    transaction.objectStore("items").put(item);
    await finished(transaction);
  }

  /** @param {string | null} key @returns {Promise<Item | undefined>} */
  async get(key) {
    if (key === null) return undefined;
    if (!this.database) return asCalledNow(this.items.get(key));
    return asCalledNow(await done(this.database.transaction("items").objectStore("items").get(key)));
  }

  /** @returns {Promise<Item[]>} all items, oldest first */
  async all() {
    const items = this.database
      ? await done(this.database.transaction("items").objectStore("items").getAll())
      : [...this.items.values()];
    return items.map(asCalledNow).sort((a, b) => (a.at < b.at ? -1 : a.at > b.at ? 1 : 0));
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

  /** Send again what waits for the owner, to hear what became of it; twice sent is one sale. */
  async askAgain() {
    for (const item of await this.all()) {
      if (item.state === "kept" && item.kind === "sales") await this.put({ ...item, state: "unsent" });
    }
  }

  /**
   * Forget what the server has had for long.
   * @param {Date} now
   */
  async tidy(now) {
    if (!this.database) return;
    const old = new Date(now.getTime() - KEPT_FOR).toISOString();
    const done = (await this.all()).filter((item) => (item.state === "taken" || item.state === "aside") && item.at < old);
    const transaction = this.database.transaction("items", "readwrite");
    for (const item of done) transaction.objectStore("items").delete(item.key);
    await finished(transaction);
  }

  /** @param {any} sheet the stall as it stands, to sell from without a network */
  async keepSheet(sheet) {
    this.sheet = sheet;
    if (!this.database) return;
    const transaction = this.database.transaction("sheets", "readwrite");
    transaction.objectStore("sheets").put(sheet);
    await finished(transaction);
  }

  /** @param {number | null} fair @returns {Promise<any>} the sheet that was kept last, or null */
  async keptSheet(fair) {
    if (!this.database) return this.sheet;
    const sheets = await done(this.database.transaction("sheets").objectStore("sheets").getAll());
    const wanted = fair === null ? sheets : sheets.filter((sheet) => sheet.fair === fair);
    return wanted.sort((a, b) => (a.now < b.now ? 1 : -1))[0] ?? null;
  }
}
