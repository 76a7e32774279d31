// The map page. Who leads may tap a free spot and place a set there.

import { chart, el } from "./chart.js";

const holder = document.getElementById("map");
if (holder) {
  const { map } = await chart(holder);
  if (holder.dataset.place) {
    map.on("click", ({ latlng }) => {
      const at = latlng.wrap();
      const query = new URLSearchParams({ lat: at.lat.toFixed(6), lon: at.lng.toFixed(6) });
      const link = el("a", holder.dataset.placeWords, { href: `${holder.dataset.place}?${query}` });
      const box = el("div");
      box.append(link, el("p", `${at.lat.toFixed(5)}, ${at.lng.toFixed(5)}`));
      L.popup().setLatLng(latlng).setContent(box).openOn(map);
    });
  }
}
