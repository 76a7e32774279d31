// An act is serialised once, here; those bytes are kept, sent, saved to a file and hashed.

import { newId } from "./ids.js";
import { KEPT } from "./machine.js";

/** Names one awake stretch of this page: its monotonic readings compare only with each other. */
const SESSION = newId();

/**
 * A moment as this phone's clock and zone have it: 2026-01-05T09:12:00.000+01:00.
 * @param {Date} at
 */
export function wallTime(at) {
  const off = -at.getTimezoneOffset();
  const two = (n) => String(Math.trunc(Math.abs(n))).padStart(2, "0");
  const local = new Date(at.getTime() + off * 60_000).toISOString().slice(0, -1);
  return `${local}${off < 0 ? "-" : "+"}${two(off / 60)}:${two(off % 60)}`;
}

/**
 * An act as a row of the queue.
 * @param {object} said
 * @param {string} said.kind
 * @param {object} said.body
 * @param {{id: string, member: string, name: string}} said.person
 * @param {string} said.team the team's address
 * @param {number|null} [said.fixAt] the position's own time, milliseconds of the epoch
 * @param {object} said.told what the screen shows of it
 * @returns {import("./machine.js").Row}
 */
export function letter({ kind, body, person, team, fixAt = null, told }) {
  const at = new Date();
  const id = newId(at.getTime());
  const envelope = {
    id,
    kind,
    version: 1,
    team,
    wall_at: wallTime(at),
    mono_s: Math.round(performance.now()) / 1000,
    session: SESSION,
    fix_at: fixAt === null ? null : new Date(fixAt).toISOString(),
    needs: [],
    acted_by: person.member,
    body,
  };
  return {
    id,
    person: person.id,
    team,
    kind,
    made_at: at.getTime(),
    bytes: new TextEncoder().encode(JSON.stringify(envelope)).buffer,
    state: KEPT,
    offered: false,
    faults: 0,
    problems: [],
    settled_at: null,
    told: { ...told, by: person.name },
  };
}
