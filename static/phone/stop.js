// The stop page: what an officer asks for, and nothing else of the app.

import { el, t } from "./dom.js";
import { moment } from "./say.js";
import { rulesAsOf } from "./round.js";
import { checkDuty, lineOf, speciesOf, state, waitingIn } from "./state.js";

const day = (date) => (date ? new Intl.DateTimeFormat(document.documentElement.lang, { dateStyle: "medium", timeZone: "UTC" }).format(new Date(date)) : "");

export function stop() {
  const { papers, team, sets, books } = state.bundle;
  const mine = sets.filter((one) => one.mine);
  const list = (rows, empty) => (rows.length ? el("ul", {}, rows.map((row) => el("li", {}, row))) : el("p", {}, empty));
  return [
    el("h1", {}, t("stop_title")),
    el("p", {}, `${state.person.name} · ${team.name} · ${moment(Date.now())}`),
    el("p", { class: "soft" }, t("as_carried", { at: moment(state.fetchedAt) })),
    el("h2", {}, t("licences")),
    list(papers.licences.map((one) => row("licence_row", one, one.until)), t("none_carried")),
    el("h2", {}, t("sign_offs")),
    list(papers.sign_offs.map((one) => t("sign_off_row", { ...one, at: moment(one.at) })), t("none_carried")),
    el("h2", {}, t("agent_papers")),
    list((papers.agents ?? []).map(agent), t("none_carried")),
    el("h2", {}, t("permissions")),
    list(papers.permissions.map((one) => row("permission_row", one, one.until)), t("none_carried")),
    el("h2", {}, t("numbers")),
    list(books.map((one) => t("book_row", { ...one, kind: t(one.kind) })), t("none_carried")),
    el("h2", {}, t("in_hand")),
    list(inHand(), t("none_carried")),
    el("h2", {}, t("own_sets")),
    rulesAsOf(),
    mine.length ? el("ul", { class: "papers" }, mine.map(paper)) : el("p", {}, t("none_carried")),
    el("p", { class: "soft small" }, t("own_record")),
    el("p", {}, el("a", { class: "button quiet", href: "#round" }, t("close_stop"))),
  ];
}

/** What one may do under another's licence, by which paper. */
const agent = (one) => row("agent_row", { ...one, may: one.may.map((deed) => t(`agent_${deed}`)).join(", ") }, one.until);

/** A paper in one line; one that has run out says so. */
function row(code, one, until) {
  const said = t(code, { ...one, from: day(one.from), until: day(until) }).replace(/ · $/, "");
  const over = new Date().toISOString().slice(0, 10) > until.slice(0, 10);
  return over ? `${said} · ${t("run_out")}` : said;
}

/** Animals that the bundle knows of, and those caught since, with the numbers they bear. */
function inHand() {
  const carried = state.bundle.papers.animals ?? [];
  const known = new Set(carried.map((one) => one.animal));
  const since = state.rows.filter((made) => !made.told.withdrawn && !state.rows.some((other) => made.told.check && other.told.corrects === made.told.check))
    .flatMap((made) => (made.told.animals ?? []).map((one) => ({ ...one, at: made.told.at ?? made.made_at, label: made.told.label })))
    .filter((one) => ["dispatched", "found_dead"].includes(one.fate) && !known.has(one.animal))
    .map((one) => ({ ...one, species: speciesOf(one.species)?.name ?? t("not_known") }));
  return [...since, ...carried].map((one) => {
    const numbers = [one.site_tag, one.seal].filter(Boolean).join(", ") || t("no_number");
    return t("in_hand_row", { ...one, numbers, at: moment(one.at, one.tz) });
  });
}

/** One set as an officer reads it; one above the other, since a table does not fit a phone. */
function paper(set) {
  const tz = lineOf(set.line)?.tz;
  const duty = checkDuty(set.id);
  const rows = [
    ["tag", set.tag || t("no_tag")],
    ["placed", moment(set.placed_at, tz)],
    ["last_visit", moment(set.last_visit_at, tz)],
    ["due", set.due_at ? moment(set.due_at, tz) : t("no_time")],
    ["rule", duty?.rule ? [duty.rule.code, duty.rule.authority].join(" · ") : t("no_rule")],
  ];
  return el(
    "li", {}, el("h3", {}, set.label, waitingIn(set.id) && el("span", { class: "attend" }, ` · ${t("waiting_here")}`)),
    el("dl", { class: "facts" }, rows.flatMap(([name, said]) => [el("dt", {}, t(name)), el("dd", {}, said)])),
  );
}
