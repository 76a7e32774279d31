// A check that has gone out is not undone but corrected: a new record names it, and both stay.

import { el, t } from "./dom.js";
import { moment } from "./say.js";
import { setOf, state } from "./state.js";

/**
 * What it was instead, or that there was no such check.
 * @param {any} app
 * @param {import("./machine.js").Row|undefined} was
 */
export function correction(app, was) {
  const back = el("p", {}, el("a", { class: "button quiet", href: "#kept" }, t("back_to_kept")));
  if (!was) return [back, el("h1", {}, t("no_such_check"))];
  const { found } = state.bundle.words;
  const { label, set, check, at = was.made_at } = was.told;
  const to = (code) => `#check/${set}/${code}/${code === "in_order" ? "left" : ""}/${check}`;
  const withdraw = () => {
    if (globalThis.confirm(t("withdraw_sure", { label }))) app.keepCorrection(was, { id: set, label }, null);
  };
  return [
    back,
    el("h1", {}, t("correct_title", { label })),
    el("p", { class: "notice" }, t("corrects_that", { at: moment(at), what: found[was.told.found] })),
    el("p", {}, t("correct_says")),
    el("h2", {}, t("correct_found")),
    setOf(set)
      ? el("div", { class: "grid" }, Object.entries(found).map(([code, words]) => el("a", { class: "button quiet", href: to(code) }, words)))
      : el("p", {}, t("no_such_set")),
    el("h2", {}, t("correct_none")),
    el("button", { class: "quiet", type: "button", onclick: withdraw }, t("withdraw")),
  ];
}
