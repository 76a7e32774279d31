// What the screen rests on: the person, the bundle, the rows of the queue.

import { KEPT, REFUSED } from "./machine.js";
import { bearing, distance, fix } from "./place.js";

/**
 * @typedef {object} State
 * @property {IDBDatabase|null} db
 * @property {{id: string, member: string, name: string, leads: boolean, units: string}|null} person
 * @property {string} team
 * @property {any} bundle
 * @property {number} fetchedAt when the bundle was fetched, ms
 * @property {import("./machine.js").Row[]} rows
 * @property {string} link "", offline, signed_out, other_person, busy or trouble
 */

/** @type {State} */
export const state = { db: null, person: null, team: "", bundle: null, fetchedAt: 0, rows: [], link: "" };

/** @param {string} id */
export const setOf = (id) => state.bundle.sets.find((one) => one.id === id);
/** @param {string} id */
export const lineOf = (id) => state.bundle.lines.find((one) => one.id === id);
/** @param {string} id */
export const speciesOf = (id) => state.bundle.species.find((one) => one.id === id);

/** Rows that are on this phone only. */
export const unsent = () => state.rows.filter((row) => row.state === KEPT || row.state === REFUSED);

/** Of all rows, those that the screen shows to a person. @param {any[]} all @param {string} person */
export const mineOf = (all, person) =>
  all.filter((row) => row.person === person && (row.kind !== "attach_photo" || row.problems.length));

/** The row of a check that was made on this phone. @param {string} check its id */
export const rowOf = (check) => state.rows.find((row) => row.told.check === check);

/** Rows that the bundle cannot know of yet. */
const fresh = () =>
  state.rows.filter((row) => row.state === KEPT || (row.state !== REFUSED && row.made_at > state.fetchedAt));

// By set, made once for the rows and the bundle that are there: a queue may be two thousand long.
let seen = {};
function bySet() {
  const { rows, bundle, fetchedAt } = state;
  if (seen.rows === rows && seen.bundle === bundle && seen.fetchedAt === fetchedAt) return seen;
  seen = { rows, bundle, fetchedAt, checks: new Map(), alarms: new Map(), duties: new Map() };
  const add = (id, waiting) => seen.alarms.set(id, [...(seen.alarms.get(id) ?? []), waiting]);
  for (const one of bundle.duties) {
    if (one.kind === "animal_waiting") add(one.set, one.waiting);
    if (one.kind === "check" && !seen.duties.has(one.set)) seen.duties.set(one.set, one);
  }
  const recent = fresh();
  for (const row of recent) {
    if (row.told.withdrawn) seen.checks.delete(row.told.set);
    else if (row.told.check) seen.checks.set(row.told.set, row);
    if (row.kind === "animal_waiting") add(row.told.set, row.told.waiting);
  }
  seen.ended = new Set(recent.map((row) => row.told.ends));
  return seen;
}

/**
 * The check of a set that was made on this phone and is not in the bundle.
 * @param {string} id
 */
export const checkedHere = (id) => bySet().checks.get(id);

/**
 * The animal that waits in a set: its id, from the bundle or from this phone.
 * @param {string} id
 * @returns {string|null}
 */
export const waitingIn = (id) => bySet().alarms.get(id)?.find((one) => !bySet().ended.has(one)) ?? null;

/** The check duty of a set. @param {string} id */
export const checkDuty = (id) => bySet().duties.get(id);

/**
 * Distance and bearing to a set from the last position.
 * @param {{lat: number, lon: number}} set
 */
export function wayTo(set) {
  const here = fix();
  return here && { metres: distance(here, set), degrees: bearing(here, set), fix: here };
}

// A-2 before A-10. The browser's own collator takes a tenth of a second to make on a slow phone.
function inOrder(one, other) {
  const [a, b] = [one, other].map((label) => label.toLowerCase().split(/(\d+)/));
  for (let n = 0; n < Math.min(a.length, b.length); n += 1) {
    const by = n % 2 ? a[n] - b[n] : Number(a[n] > b[n]) - Number(a[n] < b[n]);
    if (by) return by;
  }
  return a.length - b.length;
}

/**
 * The sets of a round in their order; those checked here come last.
 * @param {boolean} all also what others look after
 * @param {boolean} byPlace
 * @param {number} now
 */
export function roundOf(all, byPlace, now) {
  const key = (set) => {
    if (byPlace) return wayTo(set)?.metres ?? Infinity;
    return set.due_at ? Date.parse(set.due_at) : Number.MAX_VALUE;
  };
  return state.bundle.sets
    .filter((set) => all || set.mine)
    .map((set) => ({ set, checked: checkedHere(set.id), waiting: waitingIn(set.id), key: key(set) }))
    .map((one) => ({ ...one, late: one.set.due_at !== null && Date.parse(one.set.due_at) <= now }))
    .sort(
      (a, b) =>
        Boolean(a.checked) - Boolean(b.checked) ||
        Boolean(b.waiting) - Boolean(a.waiting) ||
        a.key - b.key ||
        inOrder(a.set.label, b.set.label),
    );
}
