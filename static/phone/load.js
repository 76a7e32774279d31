// An instructor loads a queue that a phone saved as a file, and sends it as it is.

import { el, t } from "./dom.js";
import { bytesOf, readFile } from "./queuefile.js";
import { NoAnswer, post, SignedOut, whoIsSignedIn } from "./send.js";

const MOST = 100;
const to = { who: "/phone/who.json", sync: "/api/v1/sync/" };
const box = document.getElementById("found");
const input = document.getElementById("file");

input.addEventListener("change", async () => {
  const [file] = input.files;
  if (!file) return;
  const queue = await readFile(await file.text());
  if (!queue) {
    box.replaceChildren(el("p", { class: "attend", role: "alert" }, t("not_a_queue")));
    return;
  }
  const send = el("button", { type: "button" }, t("send_file", { n: queue.acts.length }));
  const said = el("p", { role: "status" });
  const list = el("ol", { class: "rows" });
  send.addEventListener("click", () => sendIt(queue, send, said, list));
  box.replaceChildren(
    el("p", {}, t("file_says", { by: queue.by, n: queue.acts.length, photos: queue.photos.length, at: queue.saved_at.slice(0, 16).replace("T", " ") })),
    send, said, list,
  );
});

async function sendIt(queue, button, said, list) {
  button.disabled = true;
  list.replaceChildren();
  const counts = {};
  try {
    const me = await whoIsSignedIn(to);
    for (let at = 0; at < queue.acts.length; at += MOST) {
      const part = queue.acts.slice(at, at + MOST);
      const answers = (await post(to, me.csrf, part.map((one) => one.text))).acts;
      for (const [index, answer] of answers.entries()) {
        counts[answer.state] = (counts[answer.state] ?? 0) + 1;
        const { wall_at: wall } = JSON.parse(part[index].text);
        list.append(el("li", { "data-state": answer.state }, `${wall.slice(0, 16).replace("T", " ")} · ${t(`answer_${answer.state}`)} `, ...answer.problems.map((one) => one.detail)));
      }
    }
    const photos = await sendPhotos(queue, me);
    said.textContent = [...Object.entries(counts).map(([state, n]) => `${t(`answer_${state}`)}: ${n}`), photos && t("photos_sent", { n: photos })].filter(Boolean).join(" · ");
  } catch (error) {
    said.textContent = t(error instanceof SignedOut ? "sign_in_first" : error instanceof NoAnswer ? "file_not_sent" : "not_a_queue");
    button.disabled = false;
  }
}

async function sendPhotos(queue, me) {
  let sent = 0;
  for (const photo of queue.photos) {
    const answer = await fetch(`/t/${queue.team}/phone/photos/${photo.id}/`, {
      method: "PUT",
      headers: { "Content-Type": "image/jpeg", "X-CSRFToken": me.csrf, "X-Sha256": photo.sha256 },
      body: bytesOf(photo.base64),
    });
    sent += answer.ok ? 1 : 0;
  }
  return sent;
}
