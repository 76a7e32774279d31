// An animal waiting: an alarm before it is a record. One touch from everywhere.

import { calls, card, cautions } from "./cards.js";
import { choice, el, field, t } from "./dom.js";
import { newId } from "./ids.js";
import { fix } from "./place.js";
import { roundOf, setOf, speciesOf, state } from "./state.js";
import { started } from "./place.js";

/** @param {any} app @param {string} [at] the set that is open */
export function waiting(app, at) {
  const { species } = state.bundle;
  const sets = roundOf(true, started(), Date.now()).map(({ set }) => [set.id, set.label]);
  const here = at && setOf(at) ? at : undefined;
  const where = choice(sets, here, here ? undefined : t("choose"));
  const kind = choice(species.map((one) => [one.id, one.name]), "", t("not_known"));
  const shown = el("div", {}, card(null));
  kind.addEventListener("change", () => shown.replaceChildren(card(kind.value ? speciesOf(kind.value) : null)));
  const alive = choice([["alive", t("it_lives")], ["dead", t("it_is_dead")]], "alive");
  const note = el("textarea", { rows: "2", maxlength: "2000" });
  const wrong = el("p", { class: "attend", role: "alert" });
  const form = el(
    "form", { class: "form", novalidate: true },
    field("where", t("set"), where), field("alive", t("alive_now"), alive),
    field("kind", t("species"), kind), shown, field("note", t("note"), note), wrong,
    el("button", { class: "usual alarm" }, t("keep_alarm")),
  );
  let keeping = false;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    wrong.textContent = where.value ? "" : t("say_set");
    if (!where.value || keeping) return;
    keeping = true; // a glove taps twice
    const body = { waiting: newId(), set: where.value, alive: alive.value === "alive" };
    const at = fix();
    if (kind.value) body.species = kind.value;
    if (note.value.trim()) body.note = note.value.trim();
    if (at) body.position = [at.lon, at.lat];
    keeping = await app.keepAlarm(setOf(where.value), body);
  });
  return [
    el("h1", {}, t("animal_waiting")),
    el("p", {}, t("keep_distance")),
    el("h2", {}, t("numbers_to_call")), calls(), form, cautions("animal_waiting"),
  ];
}
