// The line's area as a drawing: the kept tiles, the paths, the sets, and the phone's place.

import { el, svg, t } from "./dom.js";
import { fix } from "./place.js";
import { checkedHere, state, waitingIn } from "./state.js";
import { address, areaOf, drawn, pixel, tilesOf, variantNow } from "./tiles.js";

const TILE = 256;
const view = { zoom: null };

/** @param {any} app */
export function map(app) {
  const { sets, lines, tiles } = state.bundle;
  if (!sets.length) return [el("h1", {}, t("map")), el("p", { class: "empty" }, t("no_sets"))];
  const has = drawn(tiles.extent);
  const places = [...sets, ...(fix() ? [fix()] : [])];
  const area = areaOf(places);
  const zoom = view.zoom ?? fitting(area, has);
  const [a, b] = [pixel(area.north, area.west, zoom), pixel(area.south, area.east, zoom)];
  const at = (place) => {
    const { x, y } = pixel(place.lat, place.lon, zoom);
    return { x: x - a.x, y: y - a.y };
  };
  const [width, height] = [b.x - a.x, b.y - a.y];
  const turn = (by) => {
    view.zoom = zoom + by;
    app.redraw();
  };
  const under = has ? tilesOf(area, { ...has, least: Math.min(zoom, has.most), most: Math.min(zoom, has.most) }) : [];
  return [
    el("h1", {}, t("map")),
    el("div", { class: "deeds" },
      el("button", { class: "quiet", type: "button", onclick: () => turn(1), disabled: zoom >= 17 }, t("nearer")),
      el("button", { class: "quiet", type: "button", onclick: () => turn(-1), disabled: zoom <= 6 }, t("farther"))),
    el("div", { class: "chart", tabindex: "0", role: "region", "aria-label": t("map") },
      svg("svg", { width: Math.round(width), height: Math.round(height), viewBox: `0 0 ${width.toFixed(0)} ${height.toFixed(0)}`, role: "img", "aria-label": t("map_says", { n: sets.length }) },
        under.map((tile) => picture(tile, zoom, a)),
        under.length > 0 && svg("rect", { class: "redden", width, height }),
        lines.map((line) => line.path.length > 1 && svg("polyline", { class: "path", points: line.path.map(([lon, lat]) => { const p = at({ lat, lon }); return `${p.x.toFixed(1)},${p.y.toFixed(1)}`; }).join(" ") })),
        sets.map((set) => mark(set, at(set))),
        fix() && svg("circle", { class: "here", cx: at(fix()).x, cy: at(fix()).y, r: 9 }))),
    el("p", { class: "soft" }, has ? t("map_kept_on_phone") : t("no_tiles")),
  ];
}

function fitting(area, has) {
  const room = Math.max(280, Math.min(innerWidth - 32, 900));
  for (let zoom = has?.most ?? 15; zoom > 5; zoom -= 1) {
    if (pixel(0, area.east, zoom).x - pixel(0, area.west, zoom).x <= room) return zoom;
  }
  return 6;
}

function picture(tile, zoom, corner) {
  const size = TILE * 2 ** (zoom - tile.z);
  const variant = variantNow(state.bundle.tiles.variants);
  // A tile that is not kept leaves the paper blank, not a broken picture.
  const gone = (event) => event.target.remove();
  return svg("image", { onerror: gone, href: address(variant, tile), x: tile.x * size - corner.x, y: tile.y * size - corner.y, width: size, height: size });
}

function mark(set, { x, y }) {
  const kind = waitingIn(set.id) ? "alarm" : checkedHere(set.id) ? "done" : "";
  return svg("g", { class: `set ${kind}` }, svg("circle", { cx: x, cy: y, r: 8 }), svg("text", { x: x + 11, y: y + 4 }, set.label));
}
