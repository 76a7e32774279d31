// A queue as a file: the acts as they were serialised, and the photos, for another device.

import { owed } from "./machine.js";
import { sha256 } from "./ids.js";

const FORMAT = "lineward-queue";

/**
 * @typedef {object} QueueFile
 * @property {"lineward-queue"} format
 * @property {1} version
 * @property {string} team
 * @property {string} by
 * @property {string} saved_at
 * @property {{id: string, text: string, sha256: string}[]} acts in their order
 * @property {{id: string, act: string, check: string, sha256: string, base64: string}[]} photos
 */

/**
 * @param {import("./machine.js").Row[]} rows
 * @param {any[]} photos
 * @param {{team: string, by: string}} said
 * @returns {Promise<QueueFile>}
 */
export async function asFile(rows, photos, { team, by }) {
  const decoder = new TextDecoder();
  const acts = [];
  for (const row of rows.filter((one) => owed(one) && one.bytes)) {
    acts.push({ id: row.id, text: decoder.decode(row.bytes), sha256: await sha256(row.bytes) });
  }
  return {
    format: FORMAT,
    version: 1,
    team,
    by,
    saved_at: new Date().toISOString(),
    acts,
    photos: photos.map(({ id, act, check, sha256: hash, bytes }) => ({ id, act, check, sha256: hash, base64: base64(bytes) })),
  };
}

function base64(bytes) {
  let text = "";
  for (const one of new Uint8Array(bytes)) text += String.fromCharCode(one);
  return btoa(text);
}

/**
 * Read a file again. Null when it is none, or was changed on its way.
 * @param {string} text
 * @returns {Promise<QueueFile|null>}
 */
export async function readFile(text) {
  let said;
  try {
    said = JSON.parse(text);
  } catch {
    return null;
  }
  if (said?.format !== FORMAT || said.version !== 1 || !Array.isArray(said.acts)) return null;
  const encoder = new TextEncoder();
  for (const one of said.acts) {
    if (typeof one.text !== "string") return null;
    if (one.sha256 && one.sha256 !== (await sha256(encoder.encode(one.text)))) return null;
  }
  return said;
}

/** @param {string} text @returns {Uint8Array} */
export function bytesOf(text) {
  return Uint8Array.from(atob(text), (one) => one.charCodeAt(0));
}

/** Hand a file to the person. @param {QueueFile} file */
export function handOut(file) {
  const address = URL.createObjectURL(new Blob([JSON.stringify(file)], { type: "application/json" }));
  const link = document.createElement("a");
  link.href = address;
  link.download = `lineward-${file.team}-${file.saved_at.slice(0, 19).replaceAll(":", "")}.json`;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}
