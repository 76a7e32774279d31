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
import { meta, putMeta } from "./store.js";
import { dropTiles } from "./tiles.js";

const TOAST_MS = 12_000;
const MOVED_MS = 5_000;

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
    const told = { set: set.id, label: set.label, found: said.found, check: checkId };
    if (said.ends_waiting) told.ends = said.ends_waiting;
    if (said.catches) told.numbers = numbersOf(said.catches, set.id);
    return this.keepAct("log_check", { check: checkId, set: set.id, ...said }, told, photos);
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
      letter({ ...to, kind: "attach_photo", body: { photo: photo.id, check: body.check, sha256: photo.sha256, size: photo.bytes.byteLength }, told: { label: told.label } }),
    );
    const row = letter({
      ...to, kind, body, fixAt: body.position && here ? here.at : null,
      told: { ...told, with: added.map((one) => one.id), photos: photos.map((one) => one.id) },
    });
    const kept = photos.map((photo, index) => ({
      ...photo, person: person.id, act: added[index].id, check: body.check, address: `/t/${team}/phone/photos/${photo.id}/`,
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

  /** Before a queue is kept here, ask that the browser does not erase it; say where it may. */
  askOnce = async () => {
    if (this.facts.asked) return;
    this.facts.asked = true;
    if (!(await askToPersist().catch(() => false))) this.say("erase", t("may_erase"));
    Object.assign(this.facts, await storageFacts());
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

  sendNow = () => this.sender?.now({ force: true });

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

  /** The stop page was opened: noted here, with its time. */
  noteStop = async () => {
    const before = (await meta(state.db, "stops")) ?? [];
    await putMeta(state.db, "stops", [...before.slice(-99), { at: Date.now(), person: state.person.id }]);
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
