// Sending the queue: in order, in batches, under the sign-in of the person whose it is.

import { KEPT } from "./machine.js";
import { turn } from "./queue.js";
import { got, read, write } from "./store.js";

/** The browser or the server could not be reached, or gave no answer that can be read. */
export class NoAnswer extends Error {}
/** Nobody is signed in, or somebody else is by now. */
export class SignedOut extends Error {}

/**
 * @typedef {object} Addresses
 * @property {string} who
 * @property {string} sync
 */

async function ask(address, options = {}) {
  let answer;
  try {
    answer = await fetch(address, { redirect: "manual", cache: "no-store", credentials: "same-origin", ...options });
  } catch (error) {
    throw new NoAnswer(String(error));
  }
  if (answer.type === "opaqueredirect" || answer.status === 401 || answer.status === 403) {
    throw new SignedOut();
  }
  return answer;
}

/**
 * Who is signed in, and the token that goes with it.
 * @param {Addresses} to
 * @returns {Promise<{person: string, csrf: string}>}
 */
export async function whoIsSignedIn(to) {
  const answer = await ask(to.who);
  if (!answer.ok) throw new NoAnswer(String(answer.status));
  return readable(answer);
}

async function readable(answer) {
  try {
    return await answer.json();
  } catch (error) {
    throw new NoAnswer(String(error));
  }
}

/**
 * Send texts as they are. The server answers each after its commit.
 * @param {Addresses} to
 * @param {string} csrf
 * @param {string[]} texts
 * @returns {Promise<{acts: import("./machine.js").Answer[], skew_s: number}>}
 */
export async function post(to, csrf, texts) {
  const answer = await ask(to.sync, {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRFToken": csrf },
    body: JSON.stringify({ sent_at: new Date().toISOString(), acts: texts }),
  });
  if (!answer.ok) throw new NoAnswer(String(answer.status));
  const said = await readable(answer);
  if (!Array.isArray(said.acts) || said.acts.length !== texts.length) throw new NoAnswer("count");
  return said;
}

/**
 * Send all that the signed-in person owes.
 * @param {IDBDatabase} db
 * @param {Addresses} to
 * @param {{force?: boolean, most?: number, after?: (rows: import("./machine.js").Row[]) => void}} [how]
 *   force: also what could still be undone; most: acts in a batch; after: called after each answer
 *   with the rows that have changed
 * @returns {Promise<{person: string, sent: number, left: number}>} left: acts still kept here
 */
export function sendAll(db, to, { after, ...limits } = {}) {
  return alone("lineward-send", async () => {
    const me = await whoIsSignedIn(to);
    const sent = await sendActs(db, to, me, limits, after);
    await sendPhotos(db, me);
    const left = await read(db, ["acts"], (at) =>
      got(at.objectStore("acts").index("state").count([me.person, KEPT])),
    );
    return { person: me.person, sent, left };
  });
}

// One batch is on its way at a time, in order. While the server works on it, the answers to the one
// before are written down and the next is made ready; the first, while nobody knows whether there is
// signal, goes alone, so that a try without signal marks no more acts than it must.
async function sendActs(db, to, me, limits, after) {
  const decoder = new TextDecoder();
  let [sent, answered, heard] = [0, null, false];
  const take = async (more) => {
    const { changed, next } = await turn(db, me.person, answered, Date.now(), more);
    if (answered) after?.(changed);
    answered = null;
    return next;
  };
  let batch = await take(limits);
  while (batch.length) {
    const posted = post(to, me.csrf, batch.map((row) => decoder.decode(row.bytes)));
    posted.catch(() => {}); // it is waited for below, also when the disk fails first
    const ahead = heard ? await take({ ...limits, past: batch[batch.length - 1].seq }) : [];
    const said = await posted;
    heard = true;
    sent += said.acts.filter((one) => one.kept).length;
    answered = { batch, answers: said.acts, skew_s: said.skew_s };
    if (said.acts.some((one) => one.problems.some(({ code }) => code === "server"))) {
      await take(null);
      throw new NoAnswer("fault");
    }
    batch = ahead.length ? ahead : await take(limits);
  }
  return sent;
}

// One tab sends at a time, where the browser can say so. Twice would do no harm: the server knows
// an act by its id and bytes.
function alone(name, work) {
  return navigator.locks ? navigator.locks.request(name, work) : work();
}

async function sendPhotos(db, me) {
  const keys = await read(db, ["photos"], (at) =>
    got(at.objectStore("photos").index("person").getAllKeys(me.person)),
  );
  for (const key of keys) {
    const photo = await read(db, ["photos"], (at) => got(at.objectStore("photos").get(key)));
    const row = await read(db, ["acts"], (at) => got(at.objectStore("acts").index("id").get(photo.act)));
    if (photo.refused || row?.bytes) continue; // its person decides; its act has not gone out
    const answer = await ask(photo.address, {
      method: "PUT",
      headers: { "Content-Type": "image/jpeg", "X-CSRFToken": me.csrf, "X-Sha256": photo.sha256 },
      body: photo.bytes,
    });
    if (answer.ok) await write(db, ["photos"], (at) => got(at.objectStore("photos").delete(key)));
    else if ([400, 409, 413].includes(answer.status)) {
      // This one will never be taken as it is. It stays here, said so, and holds up no other.
      const { detail = String(answer.status) } = await answer.json().catch(() => ({}));
      await write(db, ["photos"], (at) => got(at.objectStore("photos").put({ ...photo, refused: detail })));
    } else if (answer.status !== 404) throw new NoAnswer(String(answer.status));
  }
}
