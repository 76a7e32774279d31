// Times, spans and lengths as words. A moment is always shown with its zone.

import { t } from "./dom.js";
import { wind } from "./place.js";

const LANGUAGE = document.documentElement.lang || "en";

/**
 * A moment at the place of a line: Tue 6 Jan 14:05 GMT-7.
 * @param {string|number} at
 * @param {string} [tz] the phone's own zone, if none
 */
export function moment(at, tz) {
  return formatted(tz).format(new Date(at));
}

const made = new Map();
function formatted(tz) {
  if (!made.has(tz)) {
    made.set(
      tz,
      new Intl.DateTimeFormat(LANGUAGE, {
        weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit",
        hourCycle: "h23", timeZone: tz, timeZoneName: "short",
      }),
    );
  }
  return made.get(tz);
}

// Until the first frame stands, moments wait: the browser takes a tenth of a second on a slow phone
// to make their form.
let formed = false;
const owing = [];

/**
 * An element that says a moment, at once or, at the start, with `formMoments`.
 * @param {HTMLElement} element
 * @param {(at: string) => string} words
 * @param {string|number} at
 * @param {string} [tz]
 */
export function saysMoment(element, words, at, tz) {
  const write = () => {
    element.textContent = words(moment(at, tz));
  };
  if (formed) {
    write();
  } else {
    element.textContent = "\u00a0";
    owing.push(write);
  }
  return element;
}

/** The first frame stands: say the moments that waited, and from now on each at once. */
export function formMoments() {
  formed = true;
  owing.splice(0).forEach((write) => write());
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
