// The phone's page: opens what is kept, shows it, and starts what sends it.

import { carried, carry, current } from "./carry.js";
import { check } from "./check.js";
import { Deeds } from "./deeds.js";
import { device } from "./device.js";
import { el, t } from "./dom.js";
import { askForSync, hostWords, keepWorker, storageFacts, watchBattery } from "./host.js";
import { kept } from "./kept.js";
import { map } from "./map.js";
import { tidy } from "./queue.js";
import { refreshRows } from "./rows.js";
import { round } from "./round.js";
import { NoAnswer, SignedOut } from "./send.js";
import { Sender } from "./sender.js";
import { set } from "./set.js";
import { state, unsent } from "./state.js";
import { meta, openStore } from "./store.js";
import { stop } from "./stop.js";
import { waiting } from "./waiting.js";

const VIEWS = { round, set, check, waiting, map, kept, stop, phone: device };
const LIVE = new Set(["round", "map"]); // drawn again as time passes and the phone moves
const FORMS = new Set(["set", "check", "waiting", "stop"]);
const body = document.body;
const to = { who: body.dataset.who, sync: body.dataset.sync };
const by = (id) => document.getElementById(id);
const notices = new Map();

const app = Object.assign(new Deeds(), { redraw, say, changed, refresh });

document.documentElement.dataset.light = localStorage.getItem("light") ?? "system";
addEventListener("hashchange", () => show(true));

function route() {
  const [name, ...rest] = location.hash.slice(1).split("/").map(decodeURIComponent);
  return VIEWS[name] ? [name, rest] : ["round", []];
}

function redraw() {
  show(false);
}

function show(arrived) {
  if (!state.bundle) return;
  const [name, rest] = route();
  body.classList.toggle("stop", name === "stop");
  if (arrived && name === "stop") app.noteStop();
  if (arrived && FORMS.has(name)) app.quiet();
  by("main").replaceChildren(...VIEWS[name](app, ...rest).flat().filter(Boolean));
  for (const link of document.querySelectorAll(".ways a")) {
    link.toggleAttribute("aria-current", link.getAttribute("href") === `#${name}`);
    if (link.hasAttribute("aria-current")) link.setAttribute("aria-current", "page");
  }
  by("alarm").href = name === "set" || name === "check" ? `#waiting/${rest[0]}` : "#waiting";
  standing();
  if (arrived) {
    scrollTo(0, 0);
    by("main").focus({ preventScroll: true });
  }
}

function standing() {
  const owed = unsent().length;
  by("count").textContent = owed ? String(owed) : "";
  const link = state.link && state.link !== "busy" ? t(`link_${state.link}`) : "";
  by("standing").textContent = [owed ? t("owed_n", { n: owed }) : t("owed_none"), link].filter(Boolean).join(" · ");
  by("team").textContent = state.bundle ? state.bundle.team.name : "";
}

/** Show a notice by name; null takes it away. */
function say(name, text, ...more) {
  if (text === null) notices.delete(name);
  else notices.set(name, el("p", { class: "notice" }, text, ...more));
  by("notices").replaceChildren(...notices.values());
}

/** The queue has changed. */
async function changed() {
  Object.assign(app, await refreshRows());
  const [name] = route();
  if (LIVE.has(name) || name === "kept" || name === "phone") redraw();
  else standing();
}

function linkIs(link, person) {
  state.link = link;
  say("link", null);
  const next = encodeURIComponent(location.pathname);
  if (link === "signed_out") say("link", t("sign_in_ended"), " ", el("a", { class: "button quiet", href: `${body.dataset.signIn}?next=${next}` }, t("sign_in")));
  if (person && state.person && person !== state.person.id) refresh();
  standing();
}

/** Fetch the bundle again, where there is a signal. */
async function refresh() {
  try {
    const before = state.person && (await carried(state.db, state.person.id, state.team));
    take(await carry(state.db, state.team, before));
    await changed();
    if (!app.typing()) redraw();
  } catch (error) {
    if (error instanceof SignedOut) linkIs("signed_out");
    else if (!(error instanceof NoAnswer)) throw error;
    if (!state.bundle) empty(error);
  }
}

function take(one) {
  Object.assign(state, { person: { ...one.data.person }, bundle: one.data, fetchedAt: one.at });
  if (!localStorage.getItem("light")) document.documentElement.dataset.light = one.data.person.light;
}

function empty(error) {
  const out = error instanceof SignedOut;
  by("main").replaceChildren(
    el("h1", {}, t("round")),
    el("p", { class: "notice" }, t(out ? "sign_in_first" : "nothing_carried")),
    el("p", {}, el("a", { class: "button", href: body.dataset.home }, t("to_teams"))),
  );
}

async function begin() {
  const host = hostWords();
  if (host) say("host", host);
  state.db = await openStore({
    blocked: () => say("store", t("store_blocked")),
    newer: () => say("store", t("store_newer")),
  });
  const last = await current(state.db);
  state.team = location.pathname.match(/^\/t\/([^/]+)\/phone/)?.[1] ?? last?.team ?? "";
  const one = last && (await carried(state.db, last.person, state.team));
  if (one) {
    take(one);
    Object.assign(app, await refreshRows());
    show(true);
    performance.mark("usable");
  }
  await after();
}

async function after() {
  const sender = new Sender(state.db, to, { after: () => changed(), link: linkIs });
  app.sender = sender;
  keepWorker(body.dataset.worker, { sync: () => sender.soon(), fresh: () => say("fresh", t("new_version")) })
    .catch(() => say("host", t("worker_failed")));
  if (!state.team) return empty(new NoAnswer());
  await refresh();
  addEventListener("online", () => sender.soon());
  addEventListener("offline", () => linkIs("offline"));
  document.addEventListener("visibilitychange", () => document.hidden || sender.soon(500));
  setInterval(() => LIVE.has(route()[0]) && redraw(), 60_000);
  app.facts = { ...(await storageFacts()), skew: await meta(state.db, "skew"), ...(await meta(state.db, "tiles")) };
  watchBattery(() => app.lowBattery()).catch(() => {});
  await tidy(state.db, Date.now());
  await sender.now();
  await refresh();
  if (unsent().length) askForSync().catch(() => {});
}

begin().catch((error) => {
  say("store", t("store_failed", { why: error?.name ?? String(error) }));
  if (!state.bundle) empty(error);
});
