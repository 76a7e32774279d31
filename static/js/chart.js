// A Leaflet map on the house's own tiles: sets by shape, lines as dashed paths.
// Leaflet itself comes from django-leaflet's files, as the global L.

const SVG = "http://www.w3.org/2000/svg";
const PRESSING = new Set(["overdue", "animal_waiting", "search"]);

const SHAPES = {
  check: '<circle r="5" class="sign-open"/>',
  overdue: '<path d="M0-7.5 7.5 0 0 7.5-7.5 0Z" class="sign-full"/>',
  animal_waiting: '<path d="M0-7.5 8 6.5H-8Z" class="sign-full"/><path d="M0-3V2M0 3.6V5.4" class="sign-cut"/>',
  search: '<path d="M-5-5 5 5M5-5-5 5" class="sign-stroke"/>',
};

export function el(name, text, attributes = {}) {
  const made = document.createElement(name);
  if (text) made.textContent = text;
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

function theme() {
  const chosen = document.documentElement.dataset.light;
  if (chosen !== "system") return chosen;
  return matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light";
}

function icon(sign) {
  const holder = el("div", "", { class: "map-sign" + (PRESSING.has(sign) ? " pressing" : "") });
  const drawing = document.createElementNS(SVG, "svg");
  drawing.setAttribute("viewBox", "-9 -9 18 18");
  drawing.innerHTML = SHAPES[sign] ?? SHAPES.check;
  holder.append(drawing);
  return L.divIcon({ html: holder, className: "", iconSize: [48, 48], iconAnchor: [24, 24] });
}

function popup(properties) {
  const box = el("div");
  const head = el("p");
  head.append(el("a", properties.label, { href: properties.address }));
  box.append(head, el("p", properties.line), el("p", properties.due.filter(Boolean).join(" · ")));
  if (properties.who) box.append(el("p", properties.who));
  return box;
}

async function addSets(map, holder) {
  const answer = await fetch(holder.dataset.sets, { credentials: "same-origin" });
  if (!answer.ok) throw new Error(String(answer.status));
  const layer = L.geoJSON(await answer.json(), {
    style: () => ({ className: "map-path" }),
    pointToLayer: (feature, at) =>
      L.marker(at, {
        icon: icon(feature.properties.sign),
        title: `${feature.properties.label}: ${feature.properties.due.filter(Boolean).join(", ")}`,
        keyboard: true,
      }),
    onEachFeature: (feature, shown) => {
      if (feature.properties.what === "set") shown.bindPopup(() => popup(feature.properties));
      else shown.bindTooltip(feature.properties.name);
    },
  }).addTo(map);
  return layer.getBounds();
}

const PLACED = { dwelling: '<path d="M-5.5 5V-1L0-6 5.5-1V5Z" class="sign-open"/>' };

function placeIcon(kind) {
  const drawing = document.createElementNS(SVG, "svg");
  drawing.setAttribute("viewBox", "-9 -9 18 18");
  drawing.innerHTML = PLACED[kind] ?? '<rect x="-3" y="-3" width="6" height="6" class="sign-full"/>';
  const holder = el("div", "", { class: "map-place" });
  holder.append(drawing);
  return L.divIcon({ html: holder, className: "", iconSize: [20, 20], iconAnchor: [10, 10] });
}

// What the team may be on and must keep away from, under the sets, each to be switched off.
async function addLand(map, { land, landWords, lapsedWords }) {
  const answer = await fetch(land, { credentials: "same-origin" });
  if (!answer.ok) return;
  const all = (await answer.json()).features;
  const words = ({ name, what, holds, until }) =>
    what !== "permission" ? name : `${name} · ${until}${holds ? "" : ` · ${lapsedWords}`}`;
  const groups = [(one) => one.properties.what === "permission", (one) => one.properties.what !== "permission"];
  const shown = landWords.split("|").map((title, number) => [
    title,
    L.geoJSON(all.filter(groups[number]), {
      pane: "land",
      style: ({ properties: { what, holds } }) => ({
        className: `map-${what}${holds === false ? " map-lapsed" : ""}`,
      }),
      pointToLayer: ({ properties }, at) =>
        L.marker(at, { icon: placeIcon(properties.what), pane: "land", keyboard: false, alt: properties.name }),
      onEachFeature: ({ properties }, layer) => {
        if (words(properties)) layer.bindTooltip(words(properties), { sticky: true });
      },
    }),
  ]);
  const there = shown.filter(([, layer]) => layer.getLayers().length);
  for (const [, layer] of there) layer.addTo(map);
  if (there.length) L.control.layers(null, Object.fromEntries(there)).addTo(map);
  const bounds = L.latLngBounds([]);
  for (const [, layer] of there) bounds.extend(layer.getBounds());
  return bounds;
}

// The tiles of this light; red light takes the dark ones, which the style sheet then turns red.
function addTiles(map, { tiles, variants, extent }) {
  const there = variants.split(" ").filter(Boolean);
  if (!there.length || !extent) return;
  const wished = [theme(), theme() === "red" ? "dark" : "light", there[0]];
  const wanted = wished.find((name) => there.includes(name));
  const [south, west, north, east, shallowest, deepest] = extent.split(" ").map(Number);
  L.tileLayer(`${tiles}${wanted}/{z}/{x}/{y}.webp`, {
    bounds: [[south, west], [north, east]],
    minZoom: shallowest,
    maxNativeZoom: deepest,
    maxZoom: 18,
  }).addTo(map);
}

// Starts the map in `holder`. Gives the map and the bounds of what is shown on it.
export async function chart(holder) {
  holder.hidden = false;
  holder.setAttribute("aria-busy", "true"); // a tap means nothing before the map stands at its place
  const map = L.map(holder, { zoomSnap: 0.5 }).setView([20, 0], 2);
  map.attributionControl.setPrefix("");
  L.control.scale({ imperial: true }).addTo(map);
  addTiles(map, holder.dataset);
  map.createPane("land").style.zIndex = 350; // above the tiles, under the sets
  let bounds = null;
  try {
    bounds = await addSets(map, holder);
    const about = await addLand(map, holder.dataset);
    if (!bounds.isValid() && about) bounds = about;
    if (bounds.isValid()) map.fitBounds(bounds, { padding: [32, 32], maxZoom: 14 });
  } catch {
    holder.before(el("p", holder.dataset.failedWords, { class: "note", role: "status" }));
  }
  holder.removeAttribute("aria-busy");
  return { map, bounds };
}
