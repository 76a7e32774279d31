// One set: what it is, when it is due and by which rule, and the usual answer under one button.

import { el, field, t } from "./dom.js";
import { holdToAct } from "./hold.js";
import { fromShown, lengthUnit } from "./measures.js";
import { fix, started } from "./place.js";
import { cautions } from "./cards.js";
import { left, length, moment, way } from "./say.js";
import { checkDuty, checkedHere, lineOf, setOf, speciesOf, state, waitingIn, wayTo } from "./state.js";

const FINDINGS = ["animal", "sprung_empty", "damaged", "buried", "gone", "not_reached"];
const DEEDS = ["moved", "raised", "part_replaced", "pulled"];
/** How a set was seen, until its check is kept. */
export const seen = { set: "", how: "at_set", from: "" };

/**
 * How the set was seen, as the act says it.
 * @returns {{how_seen: string, seen_from_m?: number, position?: number[], accuracy_m?: number}}
 */
export function howSeen() {
  const said = { how_seen: seen.how };
  if (seen.how === "from_distance") said.seen_from_m = fromShown(seen.from, state.person.units);
  const here = fix();
  if (here) Object.assign(said, { position: [here.lon, here.lat], accuracy_m: here.accuracy_m });
  return said;
}

/** What hinders keeping a check now, in words; null when nothing does. */
export function hindrance() {
  const from = fromShown(seen.from, state.person.units);
  return seen.how === "from_distance" && !(from >= 0) ? t("say_how_far") : null;
}

/** @param {any} app @param {string} id */
export function set(app, id) {
  const one = setOf(id);
  if (!one) return [el("h1", {}, t("no_such_set")), back()];
  if (seen.set !== id) Object.assign(seen, { set: id, how: "at_set", from: "" });
  const checked = checkedHere(id);
  const waiting = waitingIn(id);
  return [
    back(),
    el("h1", {}, one.label),
    waiting && el("p", { class: "notice alarm" }, t("waiting_here")),
    checked && el("p", { class: "notice" }, t("checked_here", { at: moment(checked.told.at ?? checked.made_at), what: state.bundle.words.found[checked.told.found] })),
    due(one),
    usual(app, one),
    how(app),
    el("h2", {}, t("found_otherwise")),
    el("div", { class: "grid" }, FINDINGS.map((code) => link(id, code, "", state.bundle.words.found[code]))),
    el("h2", {}, t("in_order_but")),
    el("div", { class: "grid" }, DEEDS.map((code) => link(id, "in_order", code, state.bundle.words.done[code]))),
    cautions("log_check", one),
    el("h2", {}, t("facts")),
    facts(one),
    week(one),
  ];
}

const back = () => el("p", {}, el("a", { class: "button quiet", href: "#round" }, t("back_to_round")));

function link(id, found, done, words) {
  return el("a", { class: "button quiet", href: `#check/${id}/${found}${done && `/${done}`}` }, words);
}

/** What counts at the set, above the one large button: a gloved hand does not scroll for it. */
function due(one) {
  const said = left(one.due_at, Date.now());
  const late = one.due_at && Date.parse(one.due_at) <= Date.now();
  const at = one.due_at && t("due_at", { at: moment(one.due_at, lineOf(one.line)?.tz) });
  return el("p", {}, el("b", { class: late ? "attend" : "" }, said), at && ` · ${at}`);
}

function facts(one) {
  const { words } = state.bundle;
  const line = lineOf(one.line);
  const duty = checkDuty(one.id);
  const going = wayTo(one);
  const rows = [
    [t("rule"), duty?.rule && [duty.rule.says, duty.rule.code, duty.rule.authority, duty.rule.source].filter(Boolean).join(" · ")],
    [t("line"), line?.name],
    [t("way_there"), going && way(going.metres, going.degrees, state.person.units)],
    [t("device"), `${one.device} · ${words.device_class[one.device_class] ?? ""} · ${words.placement[one.placement]}`],
    [t("targets"), one.targets.map((key) => speciesOf(key)?.name).filter(Boolean).join(", ")],
    [t("last_visit"), `${moment(one.last_visit_at, line?.tz)}${one.last_found ? ` · ${words.found[one.last_found]}` : ""}`],
  ];
  return el("dl", { class: "facts" }, rows.filter((row) => row[1]).flatMap(([name, said]) => [el("dt", {}, name), el("dd", {}, said)]));
}

function how(app) {
  const { how_seen: list } = state.bundle.words;
  const unit = lengthUnit(state.person.units);
  const turn = (event) => {
    seen.how = event.target.value;
    from.hidden = seen.how !== "from_distance";
  };
  const input = el("input", { type: "number", min: "0", step: "any", inputmode: "decimal", value: seen.from, oninput: (event) => (seen.from = event.target.value) });
  const from = field("seen_from", t("seen_from", { unit }), input);
  from.hidden = seen.how !== "from_distance";
  const picks = Object.entries(list).map(([code, words]) =>
    el("label", { class: "pick" }, el("input", { type: "radio", name: "how", value: code, checked: seen.how === code, onchange: turn }), words),
  );
  const going = wayTo(setOf(seen.set));
  const beside = going ? t("you_are", { far: length(going.metres, state.person.units), accuracy: length(going.fix.accuracy_m, state.person.units) }) : t("no_position");
  return el(
    "fieldset", { class: "how" }, el("legend", {}, t("how_seen")), el("div", { class: "picks" }, picks), from,
    el("p", { class: "soft" }, beside),
    !started() && el("button", { class: "quiet", type: "button", onclick: app.startPosition }, t("start_position")),
  );
}

function usual(app, one) {
  const told = el("p", { class: "help", id: "hold-help" }, t("hold_help"));
  const button = el("button", { class: "usual", type: "button", id: "usual", "aria-describedby": "hold-help" }, t("usual"));
  let keeping = false;
  const act = async () => {
    if (keeping) return; // held again while the first is being written: one look is one check
    const problem = hindrance();
    if (problem) {
      told.textContent = problem;
      told.className = "attend";
      document.getElementById("seen_from")?.focus();
      return;
    }
    keeping = true;
    keeping = await app.keepCheck(one, { found: "in_order", done: ["left"], ...howSeen() });
    if (keeping) seen.set = "";
  };
  holdToAct(button, act, (armed) => {
    told.textContent = t(armed ? "press_again" : "hold_help");
  });
  return el("div", {}, button, told);
}

function week(one) {
  const rows = state.bundle.checks.filter((check) => check.set === one.id);
  const line = lineOf(one.line);
  return el(
    "details", { class: "week" }, el("summary", {}, t("last_week", { n: rows.length })),
    el("ul", {}, rows.map((row) => el("li", {}, `${moment(row.at, line?.tz)} · ${state.bundle.words.found[row.found]} · ${row.by}`))),
  );
}
