// A check that found something else: one screen, with what was done and, for an animal, its catch.

import { card } from "./cards.js";
import { animal, animalSaid } from "./catch.js";
import { choice, el, field, t } from "./dom.js";
import { correction } from "./correct.js";
import { fromShort, shortUnit, shownShort } from "./measures.js";
import { fix } from "./place.js";
import { photoPicker } from "./photo.js";
import { length, moment } from "./say.js";
import { hindrance, howSeen } from "./set.js";
import { rowOf, setOf, speciesOf, state, waitingIn } from "./state.js";

/** Device classes that have a loop. */
const LOOPS = new Set(["snare", "cable_restraint"]);
const USUAL_DEED = { animal: "remade", sprung_empty: "remade", damaged: "remade", buried: "remade", in_order: "left" };

/**
 * @param {any} app
 * @param {string} id
 * @param {string} found
 * @param {string} [deed]
 * @param {string} [corrects] the check that this one says as it was
 */
export function check(app, id, found, deed, corrects) {
  const set = setOf(id);
  const { words } = state.bundle;
  if (found === "correct") return correction(app, rowOf(deed));
  const was = corrects && rowOf(corrects);
  if (!set || !words.found[found]) return [el("h1", {}, t("no_such_set"))];
  const fields = fieldsOf(found, set, was);
  const deeds = found === "not_reached" ? null : whatWasDone(app, set, deed || USUAL_DEED[found]);
  const note = field("note", t("note"), el("textarea", { rows: "3", maxlength: "2000" }));
  const photos = state.bundle.photos ? photoPicker() : { node: null, made: async () => [] };
  const wrong = el("p", { class: "attend", role: "alert", id: "wrong" });
  const form = el(
    "form", { class: "form", novalidate: true }, fields.nodes, deeds?.node, more(found), note, photos.node, wrong,
    el("button", { class: "usual" }, t("keep_check")),
  );
  let keeping = false;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const said = { found, ...(was ? was.told.seen : howSeen()) };
    const problem = (was ? null : hindrance()) ?? fields.say(said) ?? deeds?.say(said) ?? moreSaid(form, said);
    wrong.textContent = problem ?? "";
    if (problem || keeping) return;
    keeping = true; // a glove taps twice
    if (form.elements.note.value.trim()) said.note = form.elements.note.value.trim();
    const pictures = await photos.made();
    keeping = await (was ? app.keepCorrection(was, set, said, pictures) : app.keepCheck(set, said, pictures));
  });
  return [
    el("p", {}, el("a", { class: "button quiet", href: `#set/${id}` }, t("back_to_set", { label: set.label }))),
    el("h1", {}, `${set.label} · ${words.found[found]}`),
    was && el("p", { class: "notice" }, t("corrects_that", { at: moment(was.told.at ?? was.made_at), what: words.found[was.told.found] })),
    form,
  ];
}

function fieldsOf(found, set, was) {
  const { words } = state.bundle;
  if (found === "animal") return catches(set, was);
  if (found === "sprung_empty") {
    const node = field("sign", t("by_what_sign"), choice(words.sign, "unknown"));
    return { nodes: [node], say: (said) => void (said.sign = node.querySelector("select").value) };
  }
  if (found === "gone") {
    const node = field("gone_how", t("gone_how"), choice(words.gone, undefined, t("choose")));
    return {
      nodes: [node],
      say: (said) => {
        said.gone_how = node.querySelector("select").value;
        return said.gone_how ? null : t("say_gone_how");
      },
    };
  }
  if (found === "not_reached") {
    const node = field("reason", t("reason"), el("textarea", { rows: "2", maxlength: "2000" }), t("reason_help"));
    return {
      nodes: [node],
      say: (said) => {
        said.reason = node.querySelector("textarea").value.trim();
        return said.reason ? null : t("say_reason");
      },
    };
  }
  return { nodes: [], say: () => null };
}

function catches(set, was) {
  const list = el("div");
  const add = () => list.append(animal(set, list.children.length, speciesCard, was?.told));
  add();
  const another = el("button", { class: "quiet", type: "button", onclick: add }, t("another_animal"));
  return {
    nodes: [list, another],
    say: (said) => {
      const made = [...list.children].map((one) => animalSaid(one));
      const problem = made.find((one) => typeof one === "string");
      if (problem) return problem;
      said.catches = made;
      const waiting = waitingIn(set.id);
      if (waiting) said.ends_waiting = waiting;
      return null;
    },
  };
}

/** By how much a set is raised: what it hung at, and what is typed now. */
function raisedBy(told, set, input, units) {
  const was = set.loop_height_m;
  const metres = fromShort(input.value, units);
  told.textContent = [
    was !== null && t("hung_at", { was: shownShort(was, units) }),
    was !== null && metres >= 0 && t(metres < was ? "lowered_by" : "raised_by", { by: shownShort(Math.abs(metres - was), units) }),
  ].filter(Boolean).join(" ");
}

const speciesCard = (id) => card(speciesOf(id));

function whatWasDone(app, set, usual) {
  const { words } = state.bundle;
  const { units } = state.person;
  const boxes = Object.entries(words.done).map(([code, label]) =>
    el("label", { class: "pick" }, el("input", { type: "checkbox", name: "done", value: code, checked: code === usual, onchange: () => show() }), label),
  );
  const by = el("p", { class: "help", role: "status" });
  const hangs = el("input", { type: "number", min: "0", step: "any", inputmode: "decimal", oninput: () => raisedBy(by, set, hangs, units) });
  const height = el("div", {}, field("height", t(LOOPS.has(set.device_class) ? "loop_height" : "device_height", { unit: shortUnit(units) }), hangs), by);
  raisedBy(by, set, hangs, units);
  const place = el("p", { class: "notice" });
  const start = el("button", { class: "quiet", type: "button", onclick: () => app.startPosition() }, t("start_position"));
  const device = field("new_device", t("new_device"), choice(state.bundle.devices.map((one) => [one.id, one.name]), "", t("same_device")));
  const part = el("p", { class: "help" }, t("which_part"));
  const node = el("fieldset", {}, el("legend", {}, t("done")), el("div", { class: "picks" }, boxes), place, start, height, device, part);
  const checked = () => boxes.map((box) => box.firstChild).filter((box) => box.checked).map((box) => box.value);
  const show = () => {
    const done = checked();
    const here = fix();
    height.hidden = !done.includes("raised");
    device.hidden = !done.includes("remade");
    part.hidden = !done.includes("part_replaced");
    place.hidden = !done.includes("moved");
    start.hidden = place.hidden || here !== null;
    place.textContent = here ? t("new_place", { accuracy: length(here.accuracy_m, units) }) : t("no_position");
  };
  show();
  document.addEventListener("here", () => node.isConnected && show());
  const say = (said) => {
    said.done = checked();
    if (said.done.includes("raised")) {
      const metres = fromShort(height.querySelector("input").value, units);
      if (!(metres >= 0)) return t("say_height");
      said.raised_to = { loop_height_m: metres };
    }
    if (said.done.includes("moved")) {
      const here = fix();
      if (!here) return t("say_place");
      said.moved_to = { place: [here.lon, here.lat], accuracy_m: here.accuracy_m };
    }
    const fresh = device.querySelector("select").value;
    if (said.done.includes("remade") && fresh) said.new_device = fresh;
    return null;
  };
  return { node, say };
}

function more(found) {
  const { words, members } = state.bundle;
  const { units } = state.person;
  const lead = members.filter((one) => one.role !== "member").map((one) => [one.id, one.name]);
  const snow = field("snow", t("snow_depth", { unit: shortUnit(units) }), el("input", { type: "number", min: "0", step: "any", inputmode: "decimal" }));
  const seen = field("placement_seen", t("placement_seen"), choice(words.placement, "", t("as_before")));
  return el(
    "details", {}, el("summary", {}, t("more")),
    field("supervision", t("supervision"), choice(words.supervision, "")),
    field("supervised_by", t("supervised_by"), choice(lead, "", t("choose"))),
    found !== "not_reached" && [snow, seen],
  );
}

function moreSaid(form, said) {
  const { units } = state.person;
  const { supervision, supervised_by: by, snow, placement_seen: seen } = form.elements;
  if (supervision.value) {
    if (!by.value) return t("say_by_whom");
    Object.assign(said, { supervision: supervision.value, supervised_by: by.value });
  }
  if (snow?.value) said.snow_depth_m = fromShort(snow.value, units);
  if (seen?.value) said.placement_seen = seen.value;
  return null;
}
