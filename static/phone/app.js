// The phone's page: shows the round from what is kept, then brings the rest, and starts what sends.

import { el, t } from "./dom.js";
import { early, troubles } from "./early.js";
import { round } from "./round.js";
import { setClocks } from "./say.js";
import { mineOf, state, unsent } from "./state.js";

/** The parts; all but the round come with rest.js. */
const VIEWS = { round, set: null, check: null, waiting: null, map: null, kept: null, stop: null, phone: null };
const LIVE = new Set(["round", "map"]); // drawn again as time passes and the phone moves
const FORMS = new Set(["set", "check", "waiting", "stop"]);
const body = document.body;
const to = { who: body.dataset.who, sync: body.dataset.sync };
const by = (id) => document.getElementById(id);
const notices = new Map();

/** Until the rest is here, what the round asks of the app. */
let app = { redraw, say, changed, refresh, startPosition: () => whole().then(() => app.startPosition()) };
let rest = null;
let loading = null;
let seen = ""; // of the queue, when it was last looked at

addEventListener("hashchange", () => show(true));

function route() {
  const [name, ...said] = location.hash.slice(1).split("/").map(decodeURIComponent);
  return name in VIEWS ? [name, said] : ["round", []];
}

function redraw() {
  show(false);
}

function show(arrived) {
  if (!state.bundle) return;
  const [name, said] = route();
  if (!VIEWS[name]) return void whole().then(() => show(arrived));
  body.classList.toggle("stop", name === "stop");
  body.classList.toggle("at-work", FORMS.has(name));
  if (arrived && name === "stop") app.noteStop();
  if (arrived && FORMS.has(name)) app.quiet?.();
  by("main").replaceChildren(...VIEWS[name](app, ...said).flat().filter(Boolean));
  for (const link of document.querySelectorAll(".ways a")) {
    link.toggleAttribute("aria-current", link.getAttribute("href") === `#${name}`);
    if (link.hasAttribute("aria-current")) link.setAttribute("aria-current", "page");
  }
  by("alarm").href = name === "set" || name === "check" ? `#waiting/${said[0]}` : "#waiting";
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
  else notices.set(name, el("p", { class: `notice about-${name}` }, text, ...more));
  by("notices").replaceChildren(...notices.values());
}

/** Take the queue as it is now: with these rows, or read again. Whether it shows otherwise. */
async function look(rows = null) {
  if (rows) rest.putRows(rows);
  else Object.assign(app, await rest.refreshRows());
  const before = seen;
  const said = state.rows.map((row) => [row.seq, row.state, row.offered, row.problems.length]);
  seen = JSON.stringify([said, app.others, app.photos]);
  return seen !== before;
}

/** Before a queue is kept here, say where the browser may erase it; once on a phone. */
function sayErase() {
  const installed = matchMedia("(display-mode: standalone)").matches || navigator.standalone === true;
  if (installed || localStorage.getItem("erase")) return;
  const seen = () => {
    localStorage.setItem("erase", "said");
    say("erase", null);
    whole().then(() => app.askOnce());
  };
  say("erase", t("may_erase"), " ", el("button", { class: "quiet", type: "button", onclick: seen }, t("understood")));
}

/** The queue has changed. Nothing is drawn where it shows as before. */
async function changed(rows = null) {
  const [news, [name]] = [await look(rows), route()];
  if (news && (LIVE.has(name) || name === "kept" || name === "phone")) redraw();
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
async function refresh(asked = null) {
  try {
    const before = state.person && (await rest.carried(state.db, state.person.id, state.team));
    const newer = take(await rest.carry(state.db, state.team, before, asked));
    if (((await look()) || newer) && !app.typing()) redraw();
    else standing();
  } catch (error) {
    if (error instanceof rest.SignedOut) linkIs("signed_out");
    else if (!(error instanceof rest.NoAnswer)) throw error;
    if (!state.bundle) empty(error);
  }
}

/** Take a bundle; whether it is another, or fetched later, than the one that is shown. */
function take(one) {
  const newer = state.bundle !== one.data || state.fetchedAt !== one.at;
  Object.assign(state, { person: { ...one.data.person }, bundle: one.data, fetchedAt: one.at });
  setClocks(one.data.clocks);
  if (!localStorage.getItem("light")) document.documentElement.dataset.light = one.data.person.light;
  return newer;
}

function empty(error) {
  const out = error instanceof rest.SignedOut;
  by("main").replaceChildren(
    el("h1", {}, t("round")),
    el("p", { class: "notice" }, t(out ? "sign_in_first" : "nothing_carried")),
    el("p", {}, el("a", { class: "button", href: body.dataset.home }, t("to_teams"))),
  );
}

/** Bring everything but the round. A page that was left half by a newer version says so. */
function whole() {
  loading ??= import("./rest.js").then(
    (brought) => {
      rest = brought;
      const { set, check, waiting, map, kept, stop, device } = brought;
      Object.assign(VIEWS, { set, check, waiting, map, kept, stop, phone: device });
      app = Object.assign(new brought.Deeds(), { redraw, say, sayErase, changed, refresh });
    },
    (error) => {
      say("store", t("store_newer"));
      throw error;
    },
  );
  return loading;
}

/** After the next frame, or soon where none is drawn because nobody looks. */
const painted = () =>
  new Promise((done) => {
    requestAnimationFrame(() => setTimeout(done));
    setTimeout(done, 500);
  });

async function begin() {
  troubles.tell = (name) => say("store", t(`store_${name}`));
  troubles.seen.forEach(troubles.tell);
  const { db, team, bundle, rows, asked, persisted } = await early;
  Object.assign(state, { db, team });
  // In the first frame if the browser answers in time, so that nothing is moved; the round waits for none.
  const erase = persisted.then((kept) => kept || !(bundle || asked) || sayErase());
  if (bundle) {
    take(bundle);
    state.rows = mineOf(rows, state.person.id);
    if (route()[0] === "round") show(false);
    await painted();
    performance.mark("usable");
  } else if (asked) {
    await Promise.race([erase, new Promise((done) => setTimeout(done, 100))]);
    whole().catch(() => {}); // comes while the bundle does; what fails is said below
    await firstRound(asked);
  }
  await whole();
  if (state.bundle && route()[0] !== "round") show(true);
  await after(asked);
}

/** On a first visit the round is drawn as soon as it is here. What went wrong is said by `refresh`. */
async function firstRound(asked) {
  by("first").hidden = false;
  const { one } = await asked.catch(() => ({}));
  if (!one) return;
  take(one);
  if (route()[0] === "round") show(false);
  await painted();
}

async function after(asked) {
  const host = rest.hostWords();
  if (host) say("host", host);
  const sender = new rest.Sender(state.db, to, { after: changed, link: linkIs });
  app.sender = sender;
  rest.keepWorker(body.dataset.worker, { sync: () => sender.soon(), fresh: () => say("fresh", t("new_version")) })
    .catch(() => say("host", t("worker_failed")));
  if (!state.team) return empty(new rest.NoAnswer());
  if (state.bundle && route()[0] === "round") await look();
  else if (state.bundle) await changed();
  await refresh(asked);
  addEventListener("online", () => sender.soon());
  addEventListener("offline", () => linkIs("offline"));
  document.addEventListener("visibilitychange", () => document.hidden || sender.soon(500));
  setInterval(() => LIVE.has(route()[0]) && redraw(), 60_000);
  app.facts = { ...(await rest.storageFacts()), skew: await rest.meta(state.db, "skew"), ...(await rest.meta(state.db, "tiles")) };
  rest.watchBattery(() => app.lowBattery()).catch(() => {});
  await rest.tidy(state.db, Date.now());
  if (await sender.now()) await refresh();
  if (unsent().length) rest.askForSync().catch(() => {});
}

begin().catch(async (error) => {
  say("store", t("store_failed", { why: error?.name ?? String(error) }));
  await whole();
  if (!state.bundle) empty(error);
});
