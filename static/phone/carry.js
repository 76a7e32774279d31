// The bundle: fetched when there is a signal, kept under the person's name, read when there is none.

import { askBundle } from "./early.js";
import { NoAnswer, SignedOut } from "./send.js";
import { got, meta, putMeta, read, write } from "./store.js";

/** The newest form of a bundle that this page can read. */
const FORMAT = 1;

/**
 * Whose phone this is just now, and which team was open last.
 * @param {IDBDatabase} db
 * @returns {Promise<{person: string, team: string}|undefined>}
 */
export const current = (db) => meta(db, "current");

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
 * @param {Promise<Response>|null} [asked] if it has been asked for already
 * @returns {Promise<any>} what is kept: { person, team, etag, at, data }
 */
export async function carry(db, team, before, asked) {
  let answer;
  try {
    answer = await (asked ?? askBundle(team, before?.etag));
  } catch (error) {
    throw new NoAnswer(String(error));
  }
  if (answer.type === "opaqueredirect" || answer.status === 404) throw new SignedOut();
  let kept;
  if (answer.status === 304 && before) {
    kept = { ...before, at: Date.now() };
  } else {
    if (!answer.ok) throw new NoAnswer(String(answer.status));
    let data;
    try {
      data = await answer.json();
    } catch (error) {
      throw new NoAnswer(String(error));
    }
    if (data.format > FORMAT) throw new NoAnswer("format");
    kept = { person: data.person.id, team, etag: answer.headers.get("ETag"), at: Date.now(), data };
  }
  await write(db, ["bundles"], (at) => got(at.objectStore("bundles").put(kept)));
  await putMeta(db, "current", { person: kept.person, team });
  return kept;
}
