// What the screen needs of the queue.

import { owedBy, rowsOf } from "./queue.js";
import { state } from "./state.js";
import { got, read } from "./store.js";

/** @param {IDBDatabase} db @param {string} person */
export async function photosOf(db, person) {
  return read(db, ["photos"], (at) => got(at.objectStore("photos").index("person").getAll(person)));
}

/**
 * Read the rows again.
 * @returns {Promise<{others: {name: string, n: number}[], photos: {id: string, refused?: string}[]}>}
 */
export async function refreshRows() {
  if (!state.person) return { others: [], photos: [] };
  state.rows = (await rowsOf(state.db, state.person.id)).filter((row) => row.kind !== "attach_photo" || row.problems.length);
  const others = [...(await owedBy(state.db))]
    .filter(([person]) => person !== state.person.id)
    .map(([, { name, count }]) => ({ name, n: count }));
  const photos = (await photosOf(state.db, state.person.id)).map(({ id, refused }) => ({ id, refused }));
  return { others, photos };
}
