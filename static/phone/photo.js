// Photos: scaled on the phone before they are kept, named and hashed here.

import { el, t } from "./dom.js";
import { newId, sha256 } from "./ids.js";

const MOST_BYTES = 400 * 1000;
const MOST_PHOTOS = 4;
const EDGES = [1600, 1280, 1024, 800];
const QUALITIES = [0.8, 0.65, 0.5];

/**
 * A picture as a JPEG of at most 400 kB. What the camera wrote beside the picture (place, time,
 * device) does not come along: the picture is drawn anew.
 * @param {Blob} file
 * @returns {Promise<ArrayBuffer>}
 */
export async function scaled(file) {
  const picture = await createImageBitmap(file);
  try {
    for (const edge of EDGES) {
      const scale = Math.min(1, edge / Math.max(picture.width, picture.height));
      const canvas = document.createElement("canvas");
      canvas.width = Math.max(1, Math.round(picture.width * scale));
      canvas.height = Math.max(1, Math.round(picture.height * scale));
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      for (const quality of QUALITIES) {
        const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", quality));
        if (blob && blob.size <= MOST_BYTES) return blob.arrayBuffer();
      }
    }
  } finally {
    picture.close();
  }
  throw new RangeError("a picture that does not shrink");
}

/**
 * Where photos are taken or chosen.
 * @returns {{node: HTMLElement|null, made: () => Promise<{id: string, sha256: string, bytes: ArrayBuffer}[]>}}
 */
export function photoPicker() {
  if (!crypto.subtle) return { node: el("p", { class: "soft" }, t("photos_need_https")), made: async () => [] };
  const input = el("input", { type: "file", id: "photos", accept: "image/*", multiple: true });
  const said = el("p", { class: "help", role: "status", id: "photos-help" }, t("photos_help", { n: MOST_PHOTOS }));
  input.setAttribute("aria-describedby", said.id);
  let work = Promise.resolve([]);
  input.addEventListener("change", () => {
    work = Promise.all([...input.files].slice(0, MOST_PHOTOS).map(one)).then((made) => made.filter(Boolean));
    work.then((made) => {
      said.textContent = made.length < input.files.length ? t("photos_some", { n: made.length }) : t("photos_ready", { n: made.length });
    });
  });
  const node = el("div", { class: "field" }, el("label", { for: "photos" }, t("photos")), input, said);
  return { node, made: () => work };
}

async function one(file) {
  try {
    const bytes = await scaled(file);
    return { id: newId(), bytes, sha256: await sha256(bytes) };
  } catch {
    return null;
  }
}
