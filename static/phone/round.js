// The round: every set with its deadline in words and figures, its distance and bearing.

import { el, t } from "./dom.js";
import { started } from "./place.js";
import { left, moment, way } from "./say.js";
import { lineOf, roundOf, state, wayTo } from "./state.js";

const chosen = { all: null, byPlace: null };

/** @param {{redraw: () => void, startPosition: () => void}} app */
export function round(app) {
  const { bundle } = state;
  const mine = bundle.sets.some((one) => one.mine);
  const all = chosen.all ?? !mine;
  const byPlace = (chosen.byPlace ?? true) && started();
  const now = Date.now();
  const rows = roundOf(all, byPlace, now);
  return [
    el("h1", {}, t("round")),
    rulesAsOf(),
    tools(app, { all, byPlace, mine }),
    rows.length === 0 && el("p", { class: "empty" }, t("no_sets")),
    el("ol", { class: "sets" }, rows.map((row) => entry(row, now))),
    el("p", { class: "soft small" }, t("own_record")),
  ];
}

/** Which rulebook the phone carries, and since when. */
export function rulesAsOf() {
  const { title } = state.bundle.rules;
  if (!title) return el("p", { class: "soft" }, t("no_rules"));
  return el("p", { class: "soft" }, t("rules_as_of", { title, at: moment(state.fetchedAt) }));
}

function tools(app, { all, byPlace, mine }) {
  const switches = [];
  if (!started()) {
    switches.push(el("button", { class: "quiet", type: "button", onclick: () => app.startPosition() }, t("start_position")));
  } else {
    const turn = () => {
      chosen.byPlace = !byPlace;
      app.redraw();
    };
    switches.push(el("button", { class: "quiet", type: "button", onclick: turn }, t(byPlace ? "by_deadline" : "by_place")));
  }
  if (mine && state.bundle.sets.some((one) => !one.mine)) {
    const turn = () => {
      chosen.all = !all;
      app.redraw();
    };
    switches.push(el("button", { class: "quiet", type: "button", onclick: turn }, t(all ? "only_mine" : "show_all")));
  }
  return el("div", { class: "deeds" }, switches);
}

function entry({ set, checked, waiting, late }, now) {
  const line = lineOf(set.line);
  const going = wayTo(set);
  const words = [];
  if (waiting) words.push(el("strong", { class: "attend" }, t("waiting_here")));
  if (checked) {
    const what = state.bundle.words.found[checked.told.found];
    words.push(el("strong", {}, t("checked_here", { at: moment(checked.told.at ?? checked.made_at), what })));
  } else {
    words.push(el("span", { class: late ? "attend" : "" }, left(set.due_at, now)));
    if (set.due_at) words.push(el("span", {}, t("due_at", { at: moment(set.due_at, line?.tz) })));
  }
  if (going) words.push(el("span", {}, way(going.metres, going.degrees, state.person.units)));
  return el(
    "li",
    { class: checked ? "done" : late ? "late" : "" },
    el(
      "a",
      { href: `#set/${set.id}` },
      el("span", { class: "sign", "aria-hidden": "true" }, waiting ? "▲" : checked ? "✓" : late ? "◆" : "○"),
      el("span", { class: "what" }, el("b", {}, set.label), el("span", { class: "soft" }, `${line?.name ?? ""}${set.mine ? "" : ` · ${set.who}`}`)),
      el("span", { class: "when" }, words),
    ),
  );
}
