// What a person can do on the phone.

import { letter } from "./acts.js";
import { numbersOf } from "./catch.js";
import { el, t } from "./dom.js";
import { askForSync, askToPersist, storageFacts } from "./host.js";
import { newId } from "./ids.js";
import { named } from "./kept.js";
import { UNDO_MS } from "./machine.js";
import { fix, start } from "./place.js";
import { keep, photosOnceMore, rowsOf, sendAgain, throwAway, undo, wipe } from "./queue.js";
import { asFile, handOut } from "./queuefile.js";
import { photosOf } from "./rows.js";
import { moment } from "./say.js";
import { whoIsSignedIn } from "./send.js";
import { state, unsent } from "./state.js";
import { putMeta } from "./store.js";
import { dropTiles } from "./tiles.js";

const TOAST_MS = 12_000;
const MOVED_MS = 5_000;

/** What the screen shows of a check. @param {any} set @param {any} body as the act takes it */
function toldOf(set, body) {
  const { check, found, how_seen, seen_from_m, position, accuracy_m } = body;
  const told = { set: set.id, label: set.label, found, check, seen: { how_seen, seen_from_m, position, accuracy_m } };
  if (body.ends_waiting) told.ends = body.ends_waiting;
  if (body.catches) Object.assign(told, { numbers: numbersOf(body.catches, set.id), animals: body.catches.map(({ animal, species, fate, site_tag, seal }) => ({ animal, species, fate, site_tag, seal })) });
  return told;
}

export class Deeds {
  others = [];
  /** Photos that are on this phone only. @type {{id: string, refused?: string}[]} */
  photos = [];
  facts = {};
  saved = new Set();
  /** Acts that are being taken back just now. */
  undoing = new Set();
  /** Given by app.js. */
  sender = null;

  /** Whether a form is open that must not be drawn anew. */
  typing = () => document.querySelector("#main form, #main .how") !== null;

  startPosition = () => {
    let drawn = 0;
    start(
      () => {
        document.dispatchEvent(new Event("here"));
        if (document.querySelector("#main form") || Date.now() - drawn < MOVED_MS) return;
        drawn = Date.now();
        if (!document.querySelector(".holding")) this.redraw();
      },
      (code) => this.say("place", t(code === 1 ? "place_denied" : "place_failed")),
    );
    this.say("place", null);
    if (!document.querySelector("#main form")) this.redraw();
  };

  /**
   * Keep a check. The screen says so only after it is on the disk.
   * @param {any} set
   * @param {object} said
   * @param {{id: string, sha256: string, bytes: ArrayBuffer}[]} [photos]
   */
  keepCheck = (set, said, photos = []) => {
    const checkId = newId();
    const body = { check: checkId, set: set.id, ...said };
    return this.keepAct("log_check", body, toldOf(set, body), photos);
  };

  /**
   * Keep a correction: the check as it was, or that there was none. Both records stay.
   * @param {import("./machine.js").Row} was the row of the check that is corrected
   * @param {any} set
   * @param {object|null} said null: it is withdrawn
   * @param {{id: string, sha256: string, bytes: ArrayBuffer}[]} [photos]
   */
  keepCorrection = (was, set, said, photos = []) => {
    const { check: corrects, at = was.made_at } = was.told;
    if (!said) {
      const told = { ...was.told, corrects, at, check: null, withdrawn: true };
      return this.keepAct("correct_check", { corrects, withdraw: true }, told, photos);
    }
    const check = { check: newId(), set: set.id, ...said };
    return this.keepAct("correct_check", { corrects, check }, { ...toldOf(set, check), corrects, at }, photos);
  };

  /** Keep an alarm; it is sent at once, with what was kept before it. */
  keepAlarm = async (set, body) => {
    const told = { set: set.id, label: set.label, waiting: body.waiting, kind: "animal_waiting" };
    const done = await this.keepAct("animal_waiting", body, told, []);
    if (done) this.sender?.soon(0, true);
    return done;
  };

  keepAct = async (kind, body, told, photos) => {
    const { person, team } = state;
    const to = { person, team };
    const here = fix();
    const added = photos.map((photo) =>
      letter({ ...to, kind: "attach_photo", body: { photo: photo.id, check: told.check, sha256: photo.sha256, size: photo.bytes.byteLength }, told: { label: told.label } }),
    );
    const row = letter({
      ...to, kind, body, fixAt: body.position && here ? here.at : null,
      told: { ...told, with: added.map((one) => one.id), photos: photos.map((one) => one.id) },
    });
    const kept = photos.map((photo, index) => ({
      ...photo, person: person.id, act: added[index].id, check: told.check, address: `/t/${team}/phone/photos/${photo.id}/`,
    }));
    try {
      await keep(state.db, [row, ...added], kept);
    } catch (error) {
      this.say("keep", t(error?.name === "QuotaExceededError" ? "not_kept_full" : "not_kept", { why: error?.name ?? String(error) }));
      return false;
    }
    this.say("keep", null);
    await this.afterKeeping(row);
    return true;
  };

  afterKeeping = async (row) => {
    // It is kept, whatever the screen can read of it.
    await this.changed().catch((error) => this.say("store", t("store_failed", { why: error?.name ?? String(error) })));
    const undoIt = el("button", { class: "quiet", type: "button", onclick: () => this.undo(row) }, t("undo"));
    this.toast(t("kept_toast", { what: named(row), at: moment(row.made_at) }), undoIt);
    location.hash = "#round";
    this.sender?.soon(UNDO_MS + 200);
    askForSync().catch(() => {});
    this.askOnce();
  };

  /** Ask that the browser does not erase what is kept here, when there is something. */
  askOnce = async () => {
    if (this.facts.asked) return;
    this.facts.asked = true;
    await askToPersist().catch(() => false);
    Object.assign(this.facts, await storageFacts());
    if (this.facts.persisted) this.say("erase", null);
    else this.sayErase();
  };

  toast = (text, ...more) => {
    const box = document.getElementById("toast");
    box.replaceChildren(el("p", {}, text), ...more);
    clearTimeout(this.timer);
    this.timer = setTimeout(this.quiet, TOAST_MS);
  };

  /** Nothing lies over a button on which the next check is kept. What was kept is under "Kept". */
  quiet = () => document.getElementById("toast").replaceChildren();

  /** Taken back once, however often a glove taps; said when the count on the screen is right again. */
  undo = async (row) => {
    if (this.undoing.has(row.id)) return;
    this.undoing.add(row.id);
    try {
      const gone = await undo(state.db, row.id);
      await this.changed();
      this.toast(t(gone ? "undone" : "not_undone", { what: named(row) }));
    } finally {
      this.undoing.delete(row.id);
    }
  };

  again = async (row) => {
    await sendAgain(state.db, row.seq);
    await this.changed();
    this.sender?.soon();
  };

  photosAgain = async () => {
    await photosOnceMore(state.db, state.person.id);
    await this.changed();
    this.sender?.soon();
  };

  drop = async (row) => {
    if (!globalThis.confirm(t("drop_sure", { what: named(row) }))) return;
    await throwAway(state.db, row.seq);
    await this.changed();
  };

  sendNow = () => {
    this.quiet(); // what goes out now can no longer be undone
    return this.sender?.now({ force: true });
  };

  saveFile = async () => {
    const photos = await photosOf(state.db, state.person.id);
    const rows = await this.allOwed();
    handOut(await asFile(rows, photos, { team: state.team, by: state.person.name }));
    this.saved = new Set([...rows, ...photos].map((one) => one.id));
    this.toast(t("saved_file", { n: rows.length }));
    this.redraw();
  };

  allOwed = async () => {
    return (await rowsOf(state.db, state.person.id)).filter((row) => row.bytes);
  };

  /** Whatever is on this phone only: acts and photos. */
  owes = () => [...unsent(), ...this.photos];

  savedAll = () => this.owes().every((one) => this.saved.has(one.id));

  lowBattery = async () => {
    if (this.savedAll()) return;
    await this.saveFile();
    this.say("battery", t("battery_low"));
  };

  putLight = (light) => {
    localStorage.setItem("light", light);
    document.documentElement.dataset.light = light;
  };

  putTiles = async (tiles, tilesMost) => {
    Object.assign(this.facts, { tiles, tilesMost });
    await putMeta(state.db, "tiles", { tiles, tilesMost });
  };

  /** The stop page was opened: an act like others, which nobody takes back. */
  noteStop = async () => {
    const { person, team, fetchedAt } = state;
    const body = { carried_at: new Date(fetchedAt).toISOString() };
    try {
      await keep(state.db, [letter({ person, team, kind: "open_stop_page", body, told: {} })]);
      await this.changed();
      this.sender?.soon(UNDO_MS + 200);
      askForSync().catch(() => {});
    } catch (error) {
      this.say("store", t("store_failed", { why: error?.name ?? String(error) }));
    }
  };

  /** Sign out: everything of the person leaves the phone, once nothing is owed or it is in a file. */
  signOut = async () => {
    // What is owed is read from the disk: another tab may have kept something since.
    await this.changed();
    if (!this.savedAll()) return this.redraw();
    const to = { who: document.body.dataset.who };
    let me;
    try {
      me = await whoIsSignedIn(to);
    } catch {
      me = null; // nobody is signed in, or there is no signal: the phone is wiped all the same
    }
    await wipe(state.db, state.person.id);
    await dropTiles();
    localStorage.removeItem("light");
    if (me) {
      const headers = { "X-CSRFToken": me.csrf };
      await fetch(document.body.dataset.signOut, { method: "POST", headers, redirect: "manual" }).catch(() => {});
    }
    location.replace(document.body.dataset.signIn);
  };
}
