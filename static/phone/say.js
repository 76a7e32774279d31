// Times, spans and lengths as words. A moment is always shown with its zone.

import { t } from "./dom.js";
import { wind } from "./place.js";

/** @type {Record<string, {steps: [number, number, string][], until: number}>} */
let clocks = {};

/**
 * What the bundle says of the clocks of its lines, by zone: from when (ms) it is how many minutes
 * from UTC under what name, and until when that is known.
 * @param {typeof clocks} [given]
 */
export function setClocks(given = {}) {
  clocks = given;
}

/** What a zone's clock is at a moment: minutes from UTC and its name; null where that is not known. */
function clockAt(ms, tz) {
  const clock = clocks[tz];
  return clock && ms < clock.until ? clock.steps.findLast(([from]) => from <= ms)?.slice(1) : null;
}

/** The phone's own clock. Its zone has no name here but its distance from UTC. */
function ownClock(ms) {
  const minutes = -new Date(ms).getTimezoneOffset();
  const [far, two] = [Math.abs(minutes), (n) => String(n).padStart(2, "0")];
  const rest = far % 60 ? two(far % 60) : "";
  return [minutes, minutes ? `UTC${minutes < 0 ? "-" : "+"}${two(Math.floor(far / 60))}${rest}` : "UTC"];
}

/**
 * A moment at the place of a line, as the pages write it: Tue 6 Jan 14:05 MST. The browser's own
 * forms of dates take a tenth of a second to make on a slow phone, and its zones may be old.
 * @param {string|number} at
 * @param {string} [tz] the phone's own zone, if none
 */
export function moment(at, tz) {
  const ms = new Date(at).getTime();
  const [minutes, zone] = tz ? (clockAt(ms, tz) ?? browsersClock(ms, tz)) : ownClock(ms);
  const [wall, today] = [ms, Date.now()].map((one) => new Date(one + minutes * 60_000));
  const [year, time] = [wall.getUTCFullYear(), wall.toISOString().slice(11, 16)];
  const day = `${t(`day_${(wall.getUTCDay() + 6) % 7}`)} ${wall.getUTCDate()} ${t(`month_${wall.getUTCMonth() + 1}`)}`;
  return `${day}${year === today.getUTCFullYear() ? "" : ` ${year}`} ${time} ${zone}`;
}

/** By the browser's own zones: for a moment years away, or a bundle that has no clocks. */
function browsersClock(ms, tz) {
  const parts = (more) =>
    new Intl.DateTimeFormat("en", { timeZone: tz, ...more }).formatToParts(ms);
  const named = (type, all) => all.find((one) => one.type === type)?.value ?? "";
  const far = named("timeZoneName", parts({ timeZoneName: "longOffset" })).match(/([+-])(\d+):(\d+)/);
  const minutes = far ? Number(`${far[1]}1`) * (Number(far[2]) * 60 + Number(far[3])) : 0;
  return [minutes, named("timeZoneName", parts({ timeZoneName: "short" }))];
}

/**
 * How long until a moment, in words: never rounded in the reader's favour.
 * @param {string|null} due
 * @param {number} now
 */
export function left(due, now) {
  if (!due) return t("no_time");
  const minutes = (new Date(due).getTime() - now) / 60_000;
  if (minutes <= 0) return t("overdue_by", { span: span(Math.ceil(-minutes)) });
  return t("left", { span: span(Math.floor(minutes)) });
}

/** Minutes as words. @param {number} minutes */
export function span(minutes) {
  if (minutes < 60) return t("minutes", { n: minutes });
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return t("hours_minutes", { h: hours, m: minutes % 60 });
  return t("days_hours", { d: Math.floor(hours / 24), h: hours % 24 });
}

/**
 * A length.
 * @param {number} metres
 * @param {string} units metric or imperial
 */
export function length(metres, units) {
  if (units === "imperial") {
    const feet = metres / 0.3048;
    return feet < 1000 ? `${Math.round(feet)} ft` : `${(feet / 5280).toFixed(1)} mi`;
  }
  return metres < 1000 ? `${Math.round(metres)} m` : `${(metres / 1000).toFixed(1)} km`;
}

/** Distance and direction. @param {number} metres @param {number} degrees @param {string} units */
export function way(metres, degrees, units) {
  const round = String(Math.round(degrees) % 360).padStart(3, "0");
  return t("way", { far: length(metres, units), wind: t(`wind_${wind(degrees)}`), degrees: round });
}
