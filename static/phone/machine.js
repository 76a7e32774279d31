// What becomes of a queued act: pure, so that any order of events can be tried.
//
// kept -> sent | held | needs_review   the server has the bytes: the phone forgets its copy
// kept -> refused                      the phone keeps the bytes until the person decides
// refused -> kept                      the person sends it once more
//
// `offered` is set, and written down, before an act goes out for the first time. From then on the
// server may have it, whatever was heard back, and it cannot be undone here.

export const KEPT = "kept";
export const SENT = "sent";
export const HELD = "held";
export const REVIEW = "needs_review";
export const REFUSED = "refused";

/** How long an act waits before it goes out by itself, so that it can be undone. */
export const UNDO_MS = 10_000;
/** After so many faults of the server an act counts as refused. */
const FAULTS = 5;

/**
 * @typedef {object} Row an act in the queue
 * @property {number} [seq] its place in the queue, given by the store
 * @property {string} id
 * @property {string} person whose it is; it goes only under that person's sign-in
 * @property {string} team
 * @property {string} kind
 * @property {number} made_at milliseconds of the epoch by this phone's clock
 * @property {ArrayBuffer|null} bytes as serialised once; null when the server has them
 * @property {string} state
 * @property {boolean} offered
 * @property {number} faults
 * @property {{field: string, code: string, detail: string}[]} problems
 * @property {number|null} settled_at
 * @property {object} told what the screen shows of it
 *
 * @typedef {object} Answer what the server says of one act
 * @property {string|null} id
 * @property {string} state
 * @property {string} was
 * @property {boolean} kept the server has the bytes
 * @property {{field: string, code: string, detail: string}[]} problems
 */

/**
 * The row after an answer. An answer to a row that is settled changes nothing.
 * @param {Row} row
 * @param {Answer} answer
 * @param {number} now
 * @returns {Row}
 */
export function afterAnswer(row, answer, now) {
  if (row.state !== KEPT) return row;
  if (!answer.kept) {
    const ours = answer.problems.some((one) => one.code === "server");
    if (ours && row.faults + 1 < FAULTS) return { ...row, faults: row.faults + 1 };
    return { ...row, state: REFUSED, problems: answer.problems, faults: 0 };
  }
  const became = answer.state === "known" ? answer.was : answer.state;
  const state = became === REVIEW ? REVIEW : became === HELD ? HELD : SENT;
  return { ...row, state, problems: answer.problems, bytes: null, settled_at: now };
}

/** @param {Row} row */
export function mayUndo(row) {
  return row.state === KEPT && !row.offered;
}

/** Whether the phone still owes it: its bytes are nowhere else. @param {Row} row */
export function owed(row) {
  return row.state === KEPT || row.state === REFUSED;
}

/**
 * How many rows, from the first, go out now: in order, up to the first that may still be undone.
 * @param {Row[]} rows kept, in order
 * @param {number} now
 * @param {{force?: boolean, most?: number, bytes?: number}} limits
 * @returns {Row[]}
 */
export function nextBatch(rows, now, { force = false, most = 100, bytes = 400_000 } = {}) {
  const batch = [];
  let size = 0;
  for (const row of rows) {
    const age = now - row.made_at;
    if (!force && !row.offered && age >= 0 && age < UNDO_MS) break;
    size += row.bytes.byteLength;
    if (batch.length === most || (batch.length && size > bytes)) break;
    batch.push(row);
  }
  return batch;
}

/**
 * How long to wait after so many failures in a row: doubling, at most five minutes, with chance so
 * that phones of a class do not come all at once.
 * @param {number} failures
 * @param {number} chance 0 to 1
 * @returns {number} milliseconds
 */
export function waitAfter(failures, chance) {
  return Math.min(300_000, 2_000 * 2 ** Math.min(failures, 10)) * (0.5 + chance / 2);
}
