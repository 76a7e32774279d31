// Where the browser itself can read codes, the gear list scans labels. Elsewhere the button stays
// hidden: a phone's own camera opens the address of a label as well.

const button = document.querySelector("#scan");
const box = document.querySelector("#scan-box");
const EACH_MS = 250;

async function readable() {
  if (!("BarcodeDetector" in window) || !navigator.mediaDevices?.getUserMedia) return false;
  const forms = await window.BarcodeDetector.getSupportedFormats();
  return forms.includes("qr_code");
}

/** The address of a label of this team, or null for any other code. */
export function ours(text, base, origin) {
  try {
    const found = new URL(text);
    return found.origin === origin && found.pathname.startsWith(base) ? found.href : null;
  } catch {
    return null;
  }
}

async function scan() {
  const video = box.querySelector("video");
  const said = box.querySelector("[role=status]");
  let stream;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
  } catch {
    said.textContent = box.dataset.noCamera;
    box.showModal();
    return;
  }
  const detector = new window.BarcodeDetector({ formats: ["qr_code"] });
  video.srcObject = stream;
  said.textContent = "";
  box.showModal();
  await video.play();
  const look = setInterval(async () => {
    const [code] = await detector.detect(video).catch(() => []);
    if (!code) return;
    const address = ours(code.rawValue, button.dataset.base, location.origin);
    if (address) location.assign(address);
    else said.textContent = box.dataset.other;
  }, EACH_MS);
  box.addEventListener("close", () => {
    clearInterval(look);
    for (const track of stream.getTracks()) track.stop();
    video.srcObject = null;
  }, { once: true });
}

if (button && box && (await readable().catch(() => false))) {
  button.hidden = false;
  button.addEventListener("click", scan);
}
