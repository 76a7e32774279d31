// The app's own map of the line's area, kept within a size the person sees and sets.

const CACHE = "tiles";
const TILE = 256;
const AROUND = 0.15; // of the area's width, on each side

/** @typedef {{z: number, x: number, y: number}} Tile */

/** Web-mercator pixels at a zoom. @param {number} lat @param {number} lon @param {number} z */
export function pixel(lat, lon, z) {
  const size = TILE * 2 ** z;
  const s = Math.sin((lat * Math.PI) / 180);
  return {
    x: ((lon + 180) / 360) * size,
    y: (0.5 - Math.log((1 + s) / (1 - s)) / (4 * Math.PI)) * size,
  };
}

/** What the house has drawn. @param {string} extent south west north east shallowest deepest */
export function drawn(extent) {
  const [south, west, north, east, least, most] = extent.split(" ").map(Number);
  return extent ? { south, west, north, east, least, most } : null;
}

/**
 * The tiles of an area, the shallowest first.
 * @param {{south: number, west: number, north: number, east: number}} area
 * @param {{south: number, west: number, north: number, east: number, least: number, most: number}} has
 * @returns {Tile[]}
 */
export function tilesOf(area, has) {
  const found = [];
  const south = Math.max(area.south, has.south);
  const west = Math.max(area.west, has.west);
  const north = Math.min(area.north, has.north);
  const east = Math.min(area.east, has.east);
  if (south > north || west > east) return found;
  for (let z = has.least; z <= has.most; z += 1) {
    const [a, b] = [pixel(north, west, z), pixel(south, east, z)];
    for (let x = Math.floor(a.x / TILE); x <= Math.floor((b.x - 1e-6) / TILE); x += 1) {
      for (let y = Math.floor(a.y / TILE); y <= Math.floor((b.y - 1e-6) / TILE); y += 1) found.push({ z, x, y });
    }
  }
  return found;
}

/** The area of some places, with a margin. @param {{lat: number, lon: number}[]} places */
export function areaOf(places) {
  const lats = places.map((one) => one.lat);
  const lons = places.map((one) => one.lon);
  const [south, north, west, east] = [Math.min(...lats), Math.max(...lats), Math.min(...lons), Math.max(...lons)];
  const margin = Math.max(0.01, AROUND * Math.max(north - south, (east - west) / 2));
  return { south: south - margin, north: north + margin, west: west - 2 * margin, east: east + 2 * margin };
}

/** @param {string} variant @param {Tile} tile */
export const address = (variant, { z, x, y }) => `/tiles/${variant}/${z}/${x}/${y}.webp`;

/**
 * Keep the tiles of an area, up to a size; what is no longer within it leaves. What is there already
 * is not fetched again.
 * @param {string[]} urls their addresses, the one that is wanted most first
 * @param {number} mostBytes
 * @param {(bytes: number, done: number) => void} told
 * @returns {Promise<{bytes: number, kept: number, all: number}>}
 */
export async function keepTiles(urls, mostBytes, told) {
  const cache = await caches.open(CACHE);
  const kept = new Set();
  let [bytes, none] = [0, 0];
  for (const url of urls) {
    const here = await cache.match(url);
    const answer = here ?? (await fetch(url, { credentials: "same-origin", redirect: "manual" }));
    if (answer.status === 404) none += 1; // not drawn: open water, the edge of the map
    if (!answer.ok) continue;
    const size = (await answer.clone().arrayBuffer()).byteLength;
    if (bytes + size > mostBytes) break;
    if (!here) await cache.put(url, answer);
    kept.add(url);
    bytes += size;
    if (kept.size % 10 === 0) told(bytes, kept.size);
  }
  for (const { url } of await cache.keys()) if (!kept.has(new URL(url).pathname)) await cache.delete(url);
  return { bytes, kept: kept.size, all: urls.length - none };
}

/**
 * The variant of the map for the light in which the page is shown just now.
 * @param {string[]} variants those that were drawn
 */
export function variantNow(variants) {
  const light = document.documentElement.dataset.light;
  const dark = light === "dark" || (light === "system" && matchMedia("(prefers-color-scheme: dark)").matches);
  const wished = light === "red" ? "red" : dark ? "dark" : "light";
  return variants.includes(wished) ? wished : variants[0];
}

/** All tiles leave the phone. */
export const dropTiles = () => ("caches" in globalThis ? caches.delete(CACHE) : Promise.resolve(false));
