// What this phone has kept, and what became of each act.

import { el, t } from "./dom.js";
import { KEPT, mayUndo, REFUSED } from "./machine.js";
import { moment } from "./say.js";
import { state, unsent } from "./state.js";

/** So many are drawn; the others when they are asked for: a queue may be two thousand long. */
const DRAWN = 60;
let drawn = DRAWN;

/** @param {any} app */
export function kept(app) {
  const rows = [...state.rows].reverse();
  const owed = unsent().length;
  const refused = app.photos.filter((one) => one.refused);
  const waits = app.photos.length - refused.length;
  return [
    el("h1", {}, t("kept_title")),
    el("p", {}, owed ? t("owed_n", { n: owed }) : t("owed_none")),
    el("div", { class: "deeds" },
      el("button", { type: "button", onclick: app.sendNow, disabled: !app.owes().length }, t("send_now")),
      el("button", { class: "quiet", type: "button", onclick: app.saveFile, disabled: !app.owes().length }, t("save_file"))),
    app.others.length > 0 && el("ul", { class: "notice" }, app.others.map((one) => el("li", {}, t("owed_other", one)))),
    waits > 0 && el("p", { class: "notice" }, t("photos_owed", { n: waits })),
    refused.length > 0 && el("div", { class: "notice" }, el("p", {}, t("photos_refused", { n: refused.length, why: refused[0].refused })),
      el("button", { type: "button", onclick: app.photosAgain }, t("send_again"))),
    rows.length === 0 && el("p", { class: "empty" }, t("nothing_kept")),
    el("ol", { class: "rows" }, rows.slice(0, drawn).map((row) => entry(app, row))),
    rows.length > drawn && el("button", { class: "quiet", type: "button", onclick: () => {
      drawn += 4 * DRAWN;
      app.redraw();
    } }, t("show_more", { n: rows.length - drawn })),
  ];
}

/** What an act is called. @param {import("./machine.js").Row} row */
export function named(row) {
  if (row.kind === "open_stop_page") return t("stop_opened");
  if (row.told.withdrawn) return t("withdrawn", { label: row.told.label });
  if (row.told.corrects) return t("corrected", { label: row.told.label, what: state.bundle.words.found[row.told.found] });
  const what = row.kind === "log_check" ? state.bundle.words.found[row.told.found] : t("animal_waiting");
  return `${row.told.label} · ${what}`;
}

/** A check that has gone out can no longer be undone; it is corrected, once. */
function mayCorrect({ told, state: stands, offered }) {
  if (!told.check || stands === REFUSED || (stands === KEPT && !offered)) return false;
  return !state.rows.some((other) => other.told.corrects === told.check && other.state !== REFUSED);
}

function entry(app, row) {
  const stands = row.state === KEPT && row.offered ? t("state_offered") : t(`state_${row.state}`);
  return el(
    "li", { class: `act ${row.state}`, "data-id": row.id, "data-state": row.state },
    el("p", {}, el("b", {}, named(row)), el("span", { class: "soft" }, ` ${moment(row.made_at)}`)),
    el("p", { class: "stands" }, stands),
    row.problems.map((one) => el("p", { class: "attend" }, one.detail)),
    mayUndo(row) && row.kind !== "open_stop_page" && el("button", { class: "quiet", type: "button", onclick: () => app.undo(row) }, t("undo")),
    mayCorrect(row) && el("a", { class: "button quiet", href: `#check/${row.told.set}/correct/${row.told.check}` }, t("correct")),
    row.state === REFUSED && el(
      "div", { class: "deeds" },
      el("button", { type: "button", onclick: () => app.again(row) }, t("send_again")),
      el("button", { class: "quiet", type: "button", onclick: () => app.saveFile(row) }, t("save_file")),
      el("button", { class: "quiet", type: "button", onclick: () => app.drop(row) }, t("throw_away"))),
  );
}
