// Keys of version 7 (RFC 9562, 5.7): they sort by time of making.

/**
 * A fresh UUIDv7.
 * @param {number} [at] milliseconds of the epoch
 * @returns {string}
 */
export function newId(at = Date.now()) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let index = 5, rest = at; index >= 0; index -= 1) {
    bytes[index] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = Array.from(bytes, (one) => one.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

/**
 * The SHA-256 of some bytes as hex; empty where the browser has no such means (no https).
 * @param {BufferSource} bytes
 * @returns {Promise<string>}
 */
export async function sha256(bytes) {
  if (!crypto.subtle) return "";
  const made = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(made, (one) => one.toString(16).padStart(2, "0")).join("");
}
