// An animal: its number from the tag book first, since it comes before the animal is moved.

import { choice, el, field, t } from "./dom.js";
import { newId } from "./ids.js";
import { setOf, state } from "./state.js";

/**
 * The fields of one animal.
 * @param {any} set
 * @param {number} index
 * @param {(id: string) => HTMLElement} cardOf
 * @param {any} [was] what was told of the check that is corrected: the animal keeps its numbers
 */
export function animal(set, index, cardOf, was) {
  const { words, species, books } = state.bundle;
  const targets = new Set(set.targets);
  const sorted = [...species].sort((a, b) => targets.has(b.id) - targets.has(a.id));
  const kind = choice(sorted.map((one) => [one.id, one.name]), undefined, t("choose"));
  const shown = el("div");
  kind.addEventListener("change", () => shown.replaceChildren(...(kind.value ? [cardOf(kind.value)] : [])));
  const alive = choice([["", t("choose")], ["dead", t("dead_on_arrival")], ["alive", t("alive_on_arrival")]]);
  const fate = choice({}, undefined);
  const fates = () => {
    const fit = Object.entries(words.fate).filter(([code]) =>
      alive.value === "dead" ? code !== "dispatched" : alive.value === "alive" ? code !== "found_dead" : true);
    const wished = alive.value === "dead" ? "found_dead" : fate.value;
    const options = fit.map(([code, label]) => el("option", { value: code }, label));
    fate.replaceChildren(el("option", { value: "" }, t("choose")), ...options);
    // Set last: an option that moves from list to list takes its being chosen along.
    fate.value = fit.some(([code]) => code === wished) ? wished : "";
  };
  alive.addEventListener("change", fates);
  fates();
  const id = (name) => `${name}-${index}`;
  const text = (name, more = {}) => field(id(name), t(name), el("input", { type: "text", maxlength: "120", ...more }));
  const book = (kindOf) => books.find((one) => one.licence === set.licence && one.kind === kindOf && one.next);
  const numbers = ["site_tag", "seal"].map((name) => {
    const from = book(name);
    const used = usedHere(name);
    const next = from && nextFree(from.next, used);
    return field(id(name), t(name), el("input", { type: "text", maxlength: "120", value: was?.animals?.[index]?.[name] ?? next ?? "" }), from ? t("next_in_book", { n: next }) : t("no_book"));
  });
  return el(
    "fieldset", { class: "animal", "data-animal": was?.animals?.[index]?.animal ?? newId(), "data-index": String(index) },
    el("legend", {}, t("animal_n", { n: index + 1 })),
    el("p", { class: "help" }, t("number_first")),
    numbers,
    field(id("species"), t("species"), kind), shown,
    field(id("alive"), t("alive"), alive),
    field(id("fate"), t("fate"), fate),
    el("details", {}, el("summary", {}, t("more_of_animal")),
      text("means"), text("condition"), text("handed_to"), text("reference"), text("held_where"),
      field(id("sex"), t("sex"), choice(words.sex, "unknown")),
      field(id("age"), t("age"), choice(words.age, "unknown")),
      field(id("weight_kg"), t("weight_kg"), el("input", { type: "number", min: "0", step: "any", inputmode: "decimal" })),
      text("device_tag", { value: set.tag })),
  );
}

/** Numbers that acts on this phone have used and the book does not know of. */
function usedHere(name) {
  const found = state.rows.filter((row) => row.made_at > state.fetchedAt || row.bytes);
  return new Set(found.flatMap((row) => row.told.numbers?.[name] ?? []));
}

/**
 * The next number that was not used on this phone since.
 * @param {string} next
 * @param {Set<string>} used
 */
export function nextFree(next, used) {
  let at = next;
  while (used.has(at)) {
    const [, before, digits] = at.match(/^(.*?)(\d+)$/);
    at = before + String(Number(digits) + 1);
  }
  return at;
}

/**
 * What the fields of one animal say, as the act takes it; or what is wrong, in words.
 * @param {HTMLElement} box
 * @returns {object|string}
 */
export function animalSaid(box) {
  const value = (name) => box.querySelector(`#${name}-${box.dataset.index}`).value.trim();
  if (!value("species")) return t("say_species");
  if (!value("alive")) return t("say_alive");
  if (!value("fate")) return t("say_fate");
  const said = {
    animal: box.dataset.animal,
    species: value("species"),
    alive_on_arrival: value("alive") === "alive",
    fate: value("fate"),
    sex: value("sex"),
    age: value("age"),
  };
  if (said.fate === "handed_to" && !value("handed_to")) return t("say_handed_to");
  for (const name of ["site_tag", "seal", "means", "condition", "handed_to", "reference", "held_where", "device_tag"]) {
    if (value(name)) said[name] = value(name);
  }
  if (value("weight_kg")) {
    said.weight_kg = Number(value("weight_kg"));
    if (!(said.weight_kg > 0)) return t("say_weight");
  }
  return said;
}

/** What a check's catches are called on the screen. @param {any[]} catches @param {string} setId */
export function numbersOf(catches, setId) {
  const found = { site_tag: [], seal: [] };
  for (const one of catches) {
    for (const name of ["site_tag", "seal"]) if (one[name]) found[name].push(one[name]);
  }
  return { ...found, licence: setOf(setId)?.licence };
}
