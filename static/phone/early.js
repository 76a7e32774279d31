// What the first screen needs, read in one transaction, and begun before the page is parsed.

import { got, openStore, read } from "./store.js";

// Nothing is painted before the light is known: at night one white page costs half an hour of sight.
document.documentElement.dataset.light = localStorage.getItem("light") ?? "system";

/** Told of the store's troubles, "blocked" or "newer"; app.js says what is done about them. */
export const troubles = { seen: [], tell: null };
const trouble = (name) => (troubles.tell ? troubles.tell(name) : troubles.seen.push(name));

/** The team that the address names; empty for the one that was open last. */
export const named = location.pathname.match(/^\/t\/([^/]+)\/phone/)?.[1] ?? "";

/** The newest form of a bundle that this page can read. */
const FORMAT = 1;

/**
 * Ask for a team's bundle. `one`: what a good answer brings, as it is kept.
 * @param {string} team
 * @param {string} [etag] of the one that is carried
 * @returns {Promise<{answer: Response, one?: {person: string, team: string, etag: string|null, at: number, data: any}}>}
 */
export async function askBundle(team, etag) {
  const answer = await fetch(`/t/${team}/phone/bundle.json`, {
    headers: etag ? { "If-None-Match": etag } : {},
    cache: "no-store",
    redirect: "manual",
    credentials: "same-origin",
  });
  if (!answer.ok) return { answer };
  const data = await answer.json();
  if (data.format > FORMAT) return { answer };
  return { answer, one: { person: data.person.id, team, etag: answer.headers.get("ETag"), at: Date.now(), data } };
}

/** On a first visit the bundle is asked for before the rest of the page is here. */
function askEarly(team) {
  const asked = askBundle(team);
  asked.catch(() => {}); // who takes it says it
  return asked;
}

/** Whether the browser keeps what lies here; asked while the store is opened. */
const keeps = async () => (await navigator.storage?.persisted?.()) ?? false;

async function begin() {
  const persisted = keeps().catch(() => false);
  const db = await openStore({ blocked: () => trouble("blocked"), newer: () => trouble("newer") });
  const first = await read(db, ["meta", "bundles", "acts"], async (at) => {
    const rows = got(at.objectStore("acts").getAll());
    const last = (await got(at.objectStore("meta").get("current")))?.value;
    const team = named || last?.team || "";
    const bundle = last && (await got(at.objectStore("bundles").get([last.person, team])));
    return { team, bundle, rows: await rows };
  });
  const asked = first.team && !first.bundle ? askEarly(first.team) : null;
  return { db, asked, persisted, ...first };
}

/** The open store and what lay in it. @type {Promise<{db: IDBDatabase, asked: ReturnType<typeof askBundle>|null, persisted: Promise<boolean>, team: string, bundle: any, rows: any[]}>} */
export const early = begin();
early.catch(() => {}); // app.js says it
