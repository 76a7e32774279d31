// When to send: on opening, when the signal comes back, when the worker says so, after an act, and
// again after a failure, each time later.

import { UNDO_MS, waitAfter } from "./machine.js";
import { NoAnswer, sendAll, SignedOut } from "./send.js";

export class Sender {
  /**
   * @param {IDBDatabase} db
   * @param {import("./send.js").Addresses} to
   * @param {{after: (rows?: import("./machine.js").Row[]) => void, link: (link: string, person?: string) => void}} told after: rows
   *   have changed, these or any; link: what the way to the server is like
   */
  constructor(db, to, told) {
    this.db = db;
    this.to = to;
    this.told = told;
    this.failures = 0;
    this.timer = null;
    this.going = null;
    /** A send that was forced and failed is tried again as forced: an alarm does not wait. */
    this.forced = false;
  }

  /** Send at the next moment, or after so many milliseconds. */
  soon(after = 0, force = false) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.now({ force }), after);
  }

  /** Send now. Two calls at a time are one after the other. */
  async now({ force = false } = {}) {
    const before = this.going;
    const mine = (async () => {
      await before?.catch(() => {});
      return this.once(force);
    })();
    this.going = mine;
    return mine;
  }

  async once(force) {
    clearTimeout(this.timer);
    this.told.link("busy");
    this.forced ||= force;
    try {
      const how = { force: this.forced, after: this.told.after };
      const { person, sent, left } = await sendAll(this.db, this.to, how);
      this.failures = 0;
      this.forced = false;
      if (left) this.soon(UNDO_MS + 200); // what could still be undone goes out then
      this.told.link("", person);
      return sent;
    } catch (error) {
      if (error instanceof SignedOut) {
        this.told.link("signed_out");
      } else {
        this.failures += 1;
        this.told.link(error instanceof NoAnswer ? (navigator.onLine ? "no_answer" : "offline") : "trouble");
        this.soon(waitAfter(this.failures, Math.random()));
        if (!(error instanceof NoAnswer)) throw error;
      }
      return 0;
    } finally {
      this.told.after();
    }
  }
}
