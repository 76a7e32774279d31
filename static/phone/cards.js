// Cards that must be at hand: species, numbers to call, cautions.

import { el, t } from "./dom.js";
import { state } from "./state.js";

/** What to do with a live animal of a species. @param {any} species */
export function card(species) {
  if (!species) return el("p", { class: "notice" }, t("species_unknown"));
  return el(
    "div", { class: "card" },
    el("p", {}, el("b", {}, species.name), " ", el("i", { class: "soft" }, species.latin)),
    el("p", { class: "attend" }, state.bundle.words.handling[species.handling]),
    species.card && el("p", {}, species.card),
  );
}

/** The numbers to call, each a link that dials. */
export function calls() {
  const list = state.bundle.calls;
  if (!list.length) return el("p", { class: "notice" }, t("no_numbers"));
  return el("ul", { class: "calls" }, list.map((one) =>
    el("li", {}, el("a", { class: "button quiet", href: `tel:${one.dial}` }, `${t("call")} ${one.who} · ${one.dial}`))));
}

/** The cautions under which an act is done. @param {string} act @param {any} [set] */
export function cautions(act, set) {
  const { texts, of, local } = state.bundle.cautions;
  const fits = (code) => {
    if (code === "ice") return !set || ["under_ice", "submersion", "water_edge"].includes(set.placement);
    if (code === "body_gripping") return !set || set.device_class === "body_gripping";
    return true;
  };
  return el(
    "details", { class: "cautions" }, el("summary", {}, t("cautions")),
    of[act].filter(fits).map((code) => el("p", {}, el("b", {}, `${texts[code].title}. `), texts[code].text)),
    el("p", {}, local),
  );
}
