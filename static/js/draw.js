// Beside a form: a tap on the map writes into its fields, and the fields draw on the map.
// The fields are what is sent; the map only helps to fill them.

import { chart } from "./chart.js";

const holder = document.getElementById("map");

function places(text) {
  return text
    .split("\n")
    .map((line) => line.split(/[,;\s]+/).filter(Boolean).map(Number))
    .filter((pair) => pair.length === 2 && pair.every(Number.isFinite));
}

// Places by parts: an empty line begins another. GeoJSON is left to the server.
function parts(text) {
  if (/^\s*[{[]/.test(text)) return [];
  return text.split(/\n\s*\n/).map(places).filter((part) => part.length);
}

function drawShape(map, area, undo, drawnAs) {
  const group = L.featureGroup().addTo(map);
  const show = () => {
    group.clearLayers();
    const drawn = parts(area.value);
    for (const part of drawn) {
      if (drawnAs() === "area" && part.length > 2) L.polygon(part, { className: "map-drawn" }).addTo(group);
      else if (drawnAs() === "point" || part.length === 1) {
        for (const at of part) L.circleMarker(at, { radius: 9, className: "map-point" }).addTo(group);
      } else L.polyline(part, { className: "map-path" }).addTo(group);
    }
    undo.hidden = !drawn.length;
  };
  map.on("click", ({ latlng }) => {
    const at = latlng.wrap();
    const place = `${at.lat.toFixed(6)}, ${at.lng.toFixed(6)}`;
    const said = area.value.trimEnd();
    area.value = said && drawnAs() !== "point" ? `${said}\n${place}` : place;
    show();
  });
  undo.addEventListener("click", () => {
    area.value = area.value.trimEnd().split("\n").slice(0, -1).join("\n").trimEnd();
    show();
  });
  area.addEventListener("input", show);
  for (const radio of document.querySelectorAll("[name=drawn]")) radio.addEventListener("change", show);
  show();
  if (group.getLayers().length) map.fitBounds(group.getBounds(), { padding: [32, 32], maxZoom: 15, animate: false });
}

function drawPath(map, area, undo) {
  const path = L.polyline([], { className: "map-path" }).addTo(map);
  const show = () => {
    path.setLatLngs(places(area.value));
    undo.hidden = !places(area.value).length;
  };
  map.on("click", ({ latlng }) => {
    const at = latlng.wrap();
    const said = area.value.trimEnd();
    area.value = `${said ? `${said}\n` : ""}${at.lat.toFixed(6)}, ${at.lng.toFixed(6)}`;
    show();
  });
  undo.addEventListener("click", () => {
    area.value = area.value.trimEnd().split("\n").slice(0, -1).join("\n");
    show();
  });
  area.addEventListener("input", show);
  show();
  if (path.getLatLngs().length > 1) map.fitBounds(path.getBounds(), { padding: [32, 32] });
}

function drawPoint(map, lat, lon) {
  let dot = null;
  const show = () => {
    const at = [Number(lat.value), Number(lon.value)];
    if (!lat.value || !lon.value || !at.every(Number.isFinite)) return;
    dot ??= L.circleMarker(at, { radius: 9, className: "map-point" }).addTo(map);
    dot.setLatLng(at);
  };
  map.on("click", ({ latlng }) => {
    const at = latlng.wrap();
    lat.value = at.lat.toFixed(6);
    lon.value = at.lng.toFixed(6);
    show();
  });
  for (const field of [lat, lon]) field.addEventListener("input", show);
  document.addEventListener("here", show);
  show();
  if (dot) map.setView(dot.getLatLng(), 13);
}

// The browser's own zone is proposed; the person confirms it by sending the form.
const zone = document.querySelector("select[name=tz]");
if (zone && !zone.value) {
  const own = Intl.DateTimeFormat().resolvedOptions().timeZone;
  if ([...zone.options].some((option) => option.value === own)) zone.value = own;
}

if (holder) {
  const { map } = await chart(holder);
  const area = document.querySelector("[data-path]");
  if (holder.dataset.draw === "path" && area) {
    drawPath(map, area, document.querySelector("[data-undo]"));
  }
  const shape = document.querySelector("[data-shape]");
  if (shape) {
    const drawnAs = () =>
      holder.dataset.draw === "area" ? "area" : document.querySelector("[name=drawn]:checked")?.value;
    drawShape(map, shape, document.querySelector("[data-undo]"), drawnAs);
  }
  if (holder.dataset.draw === "point") {
    drawPoint(map, document.getElementById("id_lat"), document.getElementById("id_lon"));
  }
}
