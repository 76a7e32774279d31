// The browser's own store. Whatever must not be lost is written with durability "strict": the
// transaction completes only when the bytes are on the disk.

const NAME = "lineward";
// A new version adds stores and indexes. It never rewrites a queued act.
const VERSION = 1;

/**
 * Open the store.
 * @param {{blocked?: () => void, newer?: () => void}} [told] what to do when another tab holds an
 *   older version open, and when another tab wants a newer one
 * @returns {Promise<IDBDatabase>}
 */
export function openStore({ blocked, newer } = {}) {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, VERSION);
    asked.onupgradeneeded = ({ oldVersion }) => {
      const db = asked.result;
      if (oldVersion < 1) {
        const acts = db.createObjectStore("acts", { keyPath: "seq", autoIncrement: true });
        acts.createIndex("id", "id", { unique: true });
        acts.createIndex("state", ["person", "state"]);
        const photos = db.createObjectStore("photos", { keyPath: "id" });
        photos.createIndex("person", "person");
        db.createObjectStore("bundles", { keyPath: ["person", "team"] });
        db.createObjectStore("meta", { keyPath: "name" });
      }
    };
    asked.onblocked = () => blocked?.();
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => {
      const db = asked.result;
      db.onversionchange = () => {
        db.close();
        newer?.();
      };
      resolve(db);
    };
  });
}

/**
 * Write in one transaction. Resolves only after it completed; rejects when it did not, and then
 * nothing of it is there.
 * @template T
 * @param {IDBDatabase} db
 * @param {string[]} stores
 * @param {(at: IDBTransaction) => T | Promise<T>} work may await requests of this transaction only
 * @returns {Promise<T>}
 */
export function write(db, stores, work) {
  return run(db.transaction(stores, "readwrite", { durability: "strict" }), work);
}

/**
 * Read in one transaction.
 * @template T
 * @param {IDBDatabase} db
 * @param {string[]} stores
 * @param {(at: IDBTransaction) => T | Promise<T>} work
 * @returns {Promise<T>}
 */
export function read(db, stores, work) {
  return run(db.transaction(stores, "readonly"), work);
}

function run(at, work) {
  return new Promise((resolve, reject) => {
    let result, failed;
    at.oncomplete = () => resolve(result);
    at.onabort = () => reject(failed ?? at.error ?? new DOMException("aborted", "AbortError"));
    (async () => work(at))().then(
      (value) => {
        result = value;
      },
      (error) => {
        failed = error;
        try {
          at.abort();
        } catch {
          reject(error);
        }
      },
    );
  });
}

/**
 * The result of a request.
 * @template T
 * @param {IDBRequest<T>} request
 * @returns {Promise<T>}
 */
export function got(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** A small value by name. @param {IDBDatabase} db @param {string} name */
export async function meta(db, name) {
  return (await read(db, ["meta"], (at) => got(at.objectStore("meta").get(name))))?.value;
}

/** @param {IDBDatabase} db @param {string} name @param {unknown} value */
export function putMeta(db, name, value) {
  return write(db, ["meta"], (at) => got(at.objectStore("meta").put({ name, value })));
}
