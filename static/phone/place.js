// Where the phone is, once its person has started it; distance and bearing.

const EARTH_M = 6371008.8; // mean radius R1 of GRS 80 (Moritz 2000, Journal of Geodesy 74)
const RAD = Math.PI / 180;

/** @typedef {{lat: number, lon: number}} Place */
/** @typedef {Place & {accuracy_m: number, at: number}} Fix at: the position's own time, ms */

/**
 * Distance along a great circle of the sphere, in metres (haversine).
 * @param {Place} one
 * @param {Place} other
 */
export function distance(one, other) {
  const [a, b] = [one.lat * RAD, other.lat * RAD];
  const h =
    Math.sin((b - a) / 2) ** 2 +
    Math.cos(a) * Math.cos(b) * Math.sin(((other.lon - one.lon) * RAD) / 2) ** 2;
  return 2 * EARTH_M * Math.asin(Math.min(1, Math.sqrt(h)));
}

/**
 * The bearing at the start, in degrees from true north, clockwise.
 * @param {Place} from
 * @param {Place} to
 */
export function bearing(from, to) {
  const [a, b, turn] = [from.lat * RAD, to.lat * RAD, (to.lon - from.lon) * RAD];
  const y = Math.sin(turn) * Math.cos(b);
  const x = Math.cos(a) * Math.sin(b) - Math.sin(a) * Math.cos(b) * Math.cos(turn);
  return (Math.atan2(y, x) / RAD + 360) % 360;
}

/** One of eight winds. @param {number} degrees */
export function wind(degrees) {
  return ["n", "ne", "e", "se", "s", "sw", "w", "nw"][Math.round(degrees / 45) % 8];
}

let watching = null;
/** @type {Fix|null} */
let last = null;

/** The last position, if it is not older than two minutes. @returns {Fix|null} */
export function fix(now = Date.now()) {
  return last && now - last.heard < 120_000 ? last : null;
}

export const started = () => watching !== null;

/**
 * Start the position, by the person's own act only.
 * @param {() => void} moved
 * @param {(code: number) => void} failed
 */
export function start(moved, failed) {
  if (watching !== null || !navigator.geolocation) return;
  watching = navigator.geolocation.watchPosition(
    ({ coords, timestamp }) => {
      last = {
        lat: coords.latitude,
        lon: coords.longitude,
        accuracy_m: Math.ceil(coords.accuracy),
        at: timestamp,
        heard: Date.now(),
      };
      moved();
    },
    ({ code }) => {
      if (code === 1) stop();
      failed(code);
    },
    { enableHighAccuracy: true, maximumAge: 10_000, timeout: 60_000 },
  );
}

/** Stop it and forget the position. */
export function stop() {
  if (watching !== null) navigator.geolocation.clearWatch(watching);
  watching = last = null;
}
