// What the screen needs of the queue.

import { owed } from "./machine.js";
import { mineOf, state } from "./state.js";
import { got, read } from "./store.js";

/** @param {IDBDatabase} db @param {string} person */
export async function photosOf(db, person) {
  return read(db, ["photos"], (at) => got(at.objectStore("photos").index("person").getAll(person)));
}

/** How many acts each other person owes from this phone. */
function othersOf(all, person) {
  const found = new Map();
  for (const row of all) {
    if (row.person === person || !owed(row)) continue;
    const { n, name } = found.get(row.person) ?? { n: 0, name: row.told.by ?? "" };
    found.set(row.person, { n: n + 1, name });
  }
  return [...found.values()];
}

/**
 * Read the rows again, in one transaction.
 * @returns {Promise<{others: {name: string, n: number}[], photos: {id: string, refused?: string}[]}>}
 */
export async function refreshRows() {
  if (!state.person) return { others: [], photos: [] };
  const { id } = state.person;
  const [all, photos] = await read(state.db, ["acts", "photos"], (at) =>
    Promise.all([got(at.objectStore("acts").getAll()), got(at.objectStore("photos").index("person").getAll(id))]));
  state.rows = mineOf(all, id);
  return { others: othersOf(all, id), photos: photos.map(({ id: name, refused }) => ({ id: name, refused })) };
}

/**
 * Rows that have just been written, put in their places: to read two thousand again after each
 * batch takes the disk from what sends.
 * @param {import("./machine.js").Row[]} rows
 */
export function putRows(rows) {
  if (!state.person) return;
  const places = new Map(state.rows.map((row) => [row.seq, row]));
  for (const row of mineOf(rows, state.person.id)) places.set(row.seq, row);
  state.rows = [...places.values()].sort((one, other) => one.seq - other.seq);
}
