// The queue of acts, kept in the browser's store until the server has them.

import { afterAnswer, KEPT, mayUndo, nextBatch, owed, REFUSED } from "./machine.js";
import { got, read, write } from "./store.js";

/** Settled rows are shown this long. */
const SHOWN_MS = 7 * 24 * 3600 * 1000;
/** Two batches, the one on its way and the next, and some that a fault of the server left behind. */
const LOOK_AHEAD = 300;

/** @typedef {import("./machine.js").Row} Row */

/**
 * Keep an act, and its photos. Resolves when it is on the disk, never before.
 * @param {IDBDatabase} db
 * @param {Row[]} rows
 * @param {object[]} [photos]
 * @returns {Promise<Row[]>} the rows with their places in the queue
 */
export function keep(db, rows, photos = []) {
  return write(db, ["acts", "photos"], async (at) => {
    const kept = [];
    for (const row of rows) kept.push({ ...row, seq: await got(at.objectStore("acts").add(row)) });
    for (const photo of photos) await got(at.objectStore("photos").add(photo));
    return kept;
  });
}

/**
 * Take back an act, and what was kept with it, if it never went out.
 * @param {IDBDatabase} db
 * @param {string} id
 * @returns {Promise<boolean>} whether it is gone
 */
export function undo(db, id) {
  return write(db, ["acts", "photos"], async (at) => {
    const acts = at.objectStore("acts");
    const row = await got(acts.index("id").get(id));
    if (!row || !mayUndo(row)) return false;
    for (const other of row.told.with ?? []) {
      const found = await got(acts.index("id").get(other));
      if (found && !mayUndo(found)) return false;
      if (found) await got(acts.delete(found.seq));
    }
    for (const photo of row.told.photos ?? []) await got(at.objectStore("photos").delete(photo));
    await got(acts.delete(row.seq));
    return true;
  });
}

/**
 * A turn of sending, in one transaction, since each waits for the disk: what the server said of a
 * batch is written down, each answer to its own row, with the skew of its clock; and the acts that
 * go out next are marked as offered before they do.
 * @param {IDBDatabase} db
 * @param {string} person
 * @param {{batch: Row[], answers: import("./machine.js").Answer[], skew_s: number}|null} answered
 *   answers: in the order of the batch, as it was offered
 * @param {number} now
 * @param {{force?: boolean, most?: number, bytes?: number, past?: number}|null} limits of the next
 *   batch, past: only acts whose place is after this one; null: none goes out
 * @returns {Promise<{changed: Row[], next: Row[]}>} the rows that are otherwise now; the next batch
 */
export function turn(db, person, answered, now, limits) {
  return write(db, ["acts", "meta"], async (at) => {
    const acts = at.objectStore("acts");
    const settled = answered ? await settle(acts, answered, now) : [];
    if (answered) {
      const value = { skew_s: answered.skew_s, at: now };
      await got(at.objectStore("meta").put({ name: "skew", value }));
    }
    const next = limits ? await offer(acts, person, now, limits) : [];
    return { changed: [...settled, ...next], next };
  });
}

async function settle(acts, { batch, answers }, now) {
  // Read and written many at a time: one by one, a queue of two thousand takes seconds.
  const span = IDBKeyRange.bound(batch[0].seq, batch[batch.length - 1].seq);
  const rows = new Map((await got(acts.getAll(span))).map((row) => [row.seq, row]));
  const changed = [];
  for (const [index, sent] of batch.entries()) {
    const answer = answers[index];
    const row = rows.get(sent.seq);
    if (!row || row.id !== sent.id || !answer) continue;
    if (answer.id !== null && answer.id !== row.id) continue;
    const next = afterAnswer(row, answer, now);
    if (next !== row) changed.push(next);
  }
  await Promise.all(changed.map((row) => got(acts.put(row))));
  return changed;
}

async function offer(acts, person, now, { past = 0, ...limits }) {
  const kept = await got(acts.index("state").getAll([person, KEPT], LOOK_AHEAD));
  const batch = nextBatch(kept.filter((row) => row.seq > past), now, limits);
  const fresh = new Map(batch.filter((row) => !row.offered).map((row) => [row, { ...row, offered: true }]));
  await Promise.all([...fresh.values()].map((row) => got(acts.put(row))));
  return batch.map((row) => fresh.get(row) ?? row);
}

/** All rows of a person, in order. @param {IDBDatabase} db @param {string} person */
export async function rowsOf(db, person) {
  const all = await read(db, ["acts"], (at) => got(at.objectStore("acts").getAll()));
  return all.filter((row) => row.person === person);
}

/** The person has decided: send a refused act once more. @param {IDBDatabase} db @param {number} seq */
export function sendAgain(db, seq) {
  return change(db, seq, (row) => (row.state === REFUSED ? { ...row, state: KEPT } : row));
}

/** The person has decided: send their refused photos once more. @param {IDBDatabase} db @param {string} person */
export function photosOnceMore(db, person) {
  return write(db, ["photos"], async (at) => {
    const photos = at.objectStore("photos");
    for (const { refused, ...photo } of await got(photos.index("person").getAll(person))) {
      if (refused) await got(photos.put(photo));
    }
  });
}

/** The person has decided: throw a refused act away. @param {IDBDatabase} db @param {number} seq */
export function throwAway(db, seq) {
  return change(db, seq, (row) => (row.state === REFUSED ? null : row));
}

function change(db, seq, work) {
  return write(db, ["acts"], async (at) => {
    const acts = at.objectStore("acts");
    const row = await got(acts.get(seq));
    if (!row) return;
    const next = work(row);
    await got(next === null ? acts.delete(seq) : acts.put(next));
  });
}

/** Forget settled rows that were shown long enough. @param {IDBDatabase} db @param {number} now */
export function tidy(db, now) {
  return write(db, ["acts"], async (at) => {
    const acts = at.objectStore("acts");
    for (const row of await got(acts.getAll())) {
      if (!owed(row) && now - row.settled_at > SHOWN_MS) await got(acts.delete(row.seq));
    }
  });
}

/**
 * Everything of a person leaves this phone: rows, photos, bundles.
 * @param {IDBDatabase} db
 * @param {string} person
 */
export function wipe(db, person) {
  return write(db, ["acts", "photos", "bundles", "meta"], async (at) => {
    for (const [store, key] of [["acts", "seq"], ["photos", "id"]]) {
      for (const row of await got(at.objectStore(store).getAll())) {
        if (row.person === person) await got(at.objectStore(store).delete(row[key]));
      }
    }
    for (const one of await got(at.objectStore("bundles").getAll())) {
      if (one.person === person) await got(at.objectStore("bundles").delete([person, one.team]));
    }
    for (const name of ["current", "stops"]) await got(at.objectStore("meta").delete(name));
  });
}
