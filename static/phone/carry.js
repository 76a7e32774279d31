// The bundle: fetched when there is a signal, kept under the person's name, read when there is none.

import { askBundle } from "./early.js";
import { NoAnswer, SignedOut } from "./send.js";
import { got, read, write } from "./store.js";

/**
 * What is carried for a person in a team.
 * @param {IDBDatabase} db
 * @param {string} person
 * @param {string} team
 */
export const carried = (db, person, team) =>
  read(db, ["bundles"], (at) => got(at.objectStore("bundles").get([person, team])));

/**
 * Fetch the bundle if it changed, and keep it.
 * @param {IDBDatabase} db
 * @param {string} team
 * @param {{etag?: string, person?: string}|undefined} before
 * @param {ReturnType<typeof askBundle>|null} [asked] if it has been asked for already
 * @returns {Promise<any>} what is kept: { person, team, etag, at, data }
 */
export async function carry(db, team, before, asked) {
  let answer, one;
  try {
    ({ answer, one } = await (asked ?? askBundle(team, before?.etag)));
  } catch (error) {
    throw new NoAnswer(String(error));
  }
  if (answer.type === "opaqueredirect" || answer.status === 404) throw new SignedOut();
  if (answer.status === 304 && before) one = { ...before, at: Date.now() };
  if (!one) throw new NoAnswer(answer.ok ? "format" : String(answer.status));
  await write(db, ["bundles", "meta"], async (at) => {
    await got(at.objectStore("bundles").put(one));
    await got(at.objectStore("meta").put({ name: "current", value: { person: one.person, team } }));
  });
  return one;
}
