// This phone: how it looks, what it carries, what the browser lets it keep, signing out.

import { choice, el, field, t } from "./dom.js";
import { moment } from "./say.js";
import { state, unsent } from "./state.js";
import { address, areaOf, drawn, keepTiles, tilesOf, variantNow } from "./tiles.js";

const LIGHTS = ["system", "light", "dark", "red"];
const SIZES = [5, 10, 20, 50];
const megabytes = (bytes) => (bytes / 1e6).toFixed(1);

/** @param {any} app */
export function device(app) {
  const light = choice(LIGHTS.map((one) => [one, t(`light_${one}`)]), document.documentElement.dataset.light);
  light.addEventListener("change", () => app.putLight(light.value));
  return [
    el("h1", {}, t("this_phone")),
    field("light", t("light"), light),
    el("h2", {}, t("carries")),
    el("dl", { class: "facts" }, facts(app)),
    el("div", { class: "deeds" }, el("button", { class: "quiet", type: "button", onclick: () => app.refresh() }, t("fetch_again"))),
    el("h2", {}, t("map")),
    ...tiles(app),
    el("h2", {}, t("sign_out_title")),
    el("p", {}, t("sign_out_says")),
    app.owes().length > 0 && el("p", { class: "notice" }, t("sign_out_owed", { n: unsent().length, photos: app.photos.length })),
    el("div", { class: "deeds" },
      el("button", { class: "quiet", type: "button", onclick: app.signOut, disabled: !app.savedAll() }, t("sign_out")),
      app.owes().length > 0 && el("button", { type: "button", onclick: app.saveFile }, t("save_file"))),
    state.person.leads && el("p", {}, el("a", { class: "button quiet", href: `/t/${state.team}/phone/load/` }, t("load_file"))),
  ];
}

function facts(app) {
  const { sets } = state.bundle;
  const { storage, skew } = app.facts;
  const rows = [
    [t("person"), state.person.name],
    [t("fetched"), moment(state.fetchedAt)],
    [t("sets"), String(sets.length)],
    [t("storage"), storage ? t("storage_says", { used: megabytes(storage.usage), most: megabytes(storage.quota) }) : t("not_known")],
    [t("persistent"), t(app.facts.persisted ? "persistent_yes" : "persistent_no")],
    [t("clock"), skew ? clockWords(skew.skew_s) : t("clock_not_measured")],
    [t("version"), document.body.dataset.version],
  ];
  return rows.flatMap(([name, said]) => [el("dt", {}, name), el("dd", {}, said)]);
}

function lightsFirst() {
  const now = variantNow(state.bundle.tiles.variants);
  return [now, ...state.bundle.tiles.variants.filter((one) => one !== now)];
}

function clockWords(skew) {
  if (Math.abs(skew) < 2) return t("clock_right");
  return t(skew > 0 ? "clock_fast" : "clock_slow", { n: Math.round(Math.abs(skew)) });
}

function tiles(app) {
  const has = drawn(state.bundle.tiles.extent);
  if (!has || !state.bundle.sets.length) return [el("p", {}, t("no_tiles"))];
  if (!("caches" in globalThis)) return [el("p", {}, t("tiles_need_https"))];
  const size = choice(SIZES.map((one) => [String(one), `${one} MB`]), String(app.facts.tilesMost ?? 10));
  const said = el("p", { role: "status", class: "soft" }, app.facts.tiles ? t("tiles_kept", { n: app.facts.tiles.kept, all: app.facts.tiles.all, size: megabytes(app.facts.tiles.bytes) }) : t("tiles_none"));
  const fetchThem = async () => {
    const area = tilesOf(areaOf(state.bundle.sets), has);
    // The map for the light in use first; at night it is wanted in red, so the others too.
    const all = lightsFirst().flatMap((variant) => area.map((tile) => address(variant, tile)));
    try {
      const made = await keepTiles(all, Number(size.value) * 1e6, (bytes, n) => {
        said.textContent = t("tiles_going", { n, all: all.length, size: megabytes(bytes) });
      });
      await app.putTiles(made, Number(size.value));
      said.textContent = t("tiles_kept", { n: made.kept, all: made.all, size: megabytes(made.bytes) });
    } catch {
      said.textContent = t("tiles_failed");
    }
  };
  return [field("tiles", t("tiles_most"), size), el("button", { class: "quiet", type: "button", onclick: fetchThem }, t("tiles_fetch")), said];
}
