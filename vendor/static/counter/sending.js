/**
 * Sends what the outbox holds, oldest first, and tries again until each has its answer.
 *
 * @typedef {import("./outbox.js").Outbox} Outbox
 * @typedef {"sent" | "sending" | "offline" | "logged-out" | "trouble"} Condition
 */

const AT_ONCE = 50;
const FIRST_WAIT = 2_000;
const LONGEST_WAIT = 60_000;
const PATIENCE = 20_000;

/** The answer came from the log-in page, not from the counter. */
export class LoggedOut extends Error {}

/**
 * Fetch JSON from the counter; LoggedOut where the login has run out.
 * @param {string} url
 * @param {RequestInit} [how]
 */
export async function ask(url, how = {}) {
  const response = await fetch(url, {
    redirect: "manual",
    credentials: "same-origin",
    cache: "no-store",
    signal: /** @type {any} */ (AbortSignal).timeout(PATIENCE),
    ...how,
  });
  if (response.type === "opaqueredirect") throw new LoggedOut();
  // A form's safety mark goes with the login it was made for.
  if (response.status === 403) throw new LoggedOut();
  if (!response.ok) throw new Error(`answered ${response.status}`);
  return response.json();
}

/** The safety mark that the server wants with whatever is sent. */
export function token() {
  const mark = /(?:^|; )csrftoken=([^;]*)/.exec(document.cookie);
  return mark ? decodeURIComponent(mark[1]) : "";
}

/** @param {string} url @param {any} body */
export function post(url, body) {
  return ask(url, {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRFToken": token() },
    body: JSON.stringify(body),
  });
}

/** @param {string} kind @param {any[]} documents or keys of them */
const batch = (kind, documents) => ({ format: "wareboard.batch", version: 1, sent_at: new Date().toISOString(), [kind]: documents });

export class Sender {
  /**
   * @param {Outbox} outbox
   * @param {{sales: string, undoings: string, totes: string, commissions: string, became: string}} addresses
   * @param {(condition: Condition, found: number) => void} told
   */
  constructor(outbox, addresses, told) {
    this.outbox = outbox;
    this.addresses = addresses;
    this.told = told;
    this.wait = FIRST_WAIT;
    this.busy = false;
    this.again = false;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
  }

  /** Send whatever is unsent; called again meanwhile, it starts once more when it is done. */
  async flush() {
    if (this.busy) {
      this.again = true;
      return;
    }
    this.busy = true;
    clearTimeout(this.timer);
    try {
      const found = await this.sendAll();
      this.wait = FIRST_WAIT;
      this.told("sent", found);
    } catch (error) {
      this.told(conditionOf(error), 0);
      this.timer = setTimeout(() => this.flush(), this.wait);
      this.wait = Math.min(LONGEST_WAIT, this.wait * 2);
    } finally {
      this.busy = false;
    }
    if (this.again) {
      this.again = false;
      await this.flush();
    }
  }

  /** @returns {Promise<number>} how many pieces the server had to find */
  async sendAll() {
    let found = 0;
    for (;;) {
      const unsent = await this.outbox.unsent();
      if (unsent.length === 0) return found;
      this.told("sending", 0);
      // A sale goes before what undoes it, and each kind has its own address.
      const kind = unsent[0].kind;
      const items = unsent.filter((item) => item.kind === kind).slice(0, AT_ONCE);
      const answer = await post(this.addresses[kind], batch(kind, items.map((item) => item.document)));
      found += await this.note(items, answer.answers);
    }
  }

  /** Ask what became of the sales that wait for the owner; without a network, another time. */
  async askAgain() {
    const waiting = (await this.outbox.all()).filter((item) => item.state === "kept");
    try {
      for (let at = 0; at < waiting.length; at += AT_ONCE) {
        const items = waiting.slice(at, at + AT_ONCE);
        const answer = await post(this.addresses.became, batch("keys", items.map((item) => item.key)));
        await this.note(items, answer.answers);
      }
    } catch (error) {
      this.told(conditionOf(error), 0);
    }
  }

  /**
   * @param {import("./outbox.js").Item[]} items
   * @param {any[]} answers in the order in which the items were sent
   */
  async note(items, answers) {
    let found = 0;
    let later = 0;
    for (const [at, item] of items.entries()) {
      const answer = answers[at];
      if (!answer || answer.outcome === "later") {
        later += 1;
        continue;
      }
      await this.outbox.answered({ ...answer, key: item.key });
      found += answer.found ?? 0;
    }
    // What could be written is written down as such, before the rest is tried again.
    if (later) throw new Error(`${later} not written yet`);
    return found;
  }
}

/** @param {unknown} error why nothing was sent @returns {Condition} */
export function conditionOf(error) {
  if (error instanceof LoggedOut) return "logged-out";
  return error instanceof TypeError || !navigator.onLine ? "offline" : "trouble";
}
