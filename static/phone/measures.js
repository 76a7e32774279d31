// Lengths as a person types them, in metres.

const FOOT = 0.3048;
const INCH = 0.0254;

/** @param {string} units */
export const lengthUnit = (units) => (units === "imperial" ? "ft" : "m");
/** @param {string} units */
export const shortUnit = (units) => (units === "imperial" ? "in" : "cm");

const number = (text) => (String(text).trim() === "" ? NaN : Number(String(text).replace(",", ".")));

/** A distance (m or ft) in metres; NaN for none. @param {string} text @param {string} units */
export const fromShown = (text, units) => number(text) * (units === "imperial" ? FOOT : 1);
/** A height in metres as it is shown: 25 cm, 9.8 in. @param {number} metres @param {string} units */
export const shownShort = (metres, units) =>
  units === "imperial" ? `${Math.round((metres / INCH) * 10) / 10} in` : `${Math.round(metres * 1000) / 10} cm`;
/** A height (cm or in) in metres; NaN for none. @param {string} text @param {string} units */
export const fromShort = (text, units) =>
  Math.round(number(text) * (units === "imperial" ? INCH : 0.01) * 1e4) / 1e4;
