// What the first screen needs, read in one transaction, and begun before the page is parsed.

import { got, openStore, read } from "./store.js";

// Nothing is painted before the light is known: at night one white page costs half an hour of sight.
document.documentElement.dataset.light = localStorage.getItem("light") ?? "system";

/** Told of the store's troubles, "blocked" or "newer"; app.js says what is done about them. */
export const troubles = { seen: [], tell: null };
const trouble = (name) => (troubles.tell ? troubles.tell(name) : troubles.seen.push(name));

/** The team that the address names; empty for the one that was open last. */
export const named = location.pathname.match(/^\/t\/([^/]+)\/phone/)?.[1] ?? "";

async function begin() {
  const db = await openStore({ blocked: () => trouble("blocked"), newer: () => trouble("newer") });
  const first = await read(db, ["meta", "bundles", "acts"], async (at) => {
    const rows = got(at.objectStore("acts").getAll());
    const last = (await got(at.objectStore("meta").get("current")))?.value;
    const team = named || last?.team || "";
    const bundle = last && (await got(at.objectStore("bundles").get([last.person, team])));
    return { team, bundle, rows: await rows };
  });
  return { db, ...first };
}

/** The open store and what lay in it. @type {Promise<{db: IDBDatabase, team: string, bundle: any, rows: any[]}>} */
export const early = begin();
early.catch(() => {}); // app.js says it
