// What this browser and device allow.

import { t } from "./dom.js";

const LOW = 0.15;

/** What a person should know before anything is kept here; null when all is well. */
export function hostWords() {
  if (!globalThis.isSecureContext) return t("not_https");
  if (!("serviceWorker" in navigator)) return t("no_worker");
  return null;
}

/**
 * Have the worker keep the page.
 * @param {string} address
 * @param {{sync: () => void, fresh: () => void}} told
 */
export async function keepWorker(address, { sync, fresh }) {
  if (!globalThis.isSecureContext || !("serviceWorker" in navigator)) return;
  const had = Boolean(navigator.serviceWorker.controller);
  navigator.serviceWorker.addEventListener("message", ({ data }) => data === "sync" && sync());
  navigator.serviceWorker.addEventListener("controllerchange", () => had && fresh());
  await navigator.serviceWorker.register(address, { scope: "/", updateViaCache: "none" });
}

/** Ask for Background Sync where there is such a thing. Nothing relies on it. */
export async function askForSync() {
  const worker = await navigator.serviceWorker?.getRegistration();
  await worker?.sync?.register("lineward-sync");
}

/** Storage used and allowed, and whether the browser keeps it. */
export async function storageFacts() {
  if (!navigator.storage) return { storage: null, persisted: false };
  const [storage, persisted] = await Promise.all([
    navigator.storage.estimate?.() ?? null,
    navigator.storage.persisted?.() ?? false,
  ]);
  return { storage, persisted };
}

/** Ask the browser not to erase what is kept here. */
export const askToPersist = () => navigator.storage?.persist?.() ?? Promise.resolve(false);

/**
 * Tell when the battery is low and not being charged, once for each time it falls.
 * @param {() => void} low
 */
export async function watchBattery(low) {
  const battery = await navigator.getBattery?.();
  if (!battery) return;
  let said = false;
  const look = () => {
    if (battery.level > LOW || battery.charging) said = false;
    else if (!said) {
      said = true;
      low();
    }
  };
  battery.addEventListener("levelchange", look);
  battery.addEventListener("chargingchange", look);
  look();
}
