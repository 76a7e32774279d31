// Keeps the phone's page so that it opens without a signal. Made by trapline/phone/shell.py, which
// fills in the list; a new list is a new worker, and the old one's files go when it starts.

const KEPT = {{ listed }};
const CACHE = `phone-${KEPT.version}`;
const TILES = "tiles";
// A name with the digest of what it names: whatever the browser has of it is right.
const SURE = /\.[0-9a-f]{12}\.\w+$/;
const PAGE = /^\/(?:t\/[^/]+\/)?phone\/$/;

self.addEventListener("install", (event) => {
  event.waitUntil(
    (async () => {
      await straight(event);
      const cache = await caches.open(CACHE);
      const anew = (url) => new Request(url, { cache: SURE.test(url) ? "default" : "reload" });
      await cache.addAll([KEPT.shell, ...KEPT.files].map(anew));
      await self.skipWaiting();
    })(),
  );
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) {
        if (name.startsWith("phone-") && name !== CACHE) await caches.delete(name);
      }
      await self.clients.claim();
    })(),
  );
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (request.mode === "navigate") {
    if (PAGE.test(url.pathname)) event.respondWith(kept(KEPT.shell, request));
  } else if (KEPT.files.includes(url.pathname)) {
    event.respondWith(kept(url.pathname, request));
  } else if (url.pathname.startsWith("/tiles/")) {
    event.respondWith(tile(request));
  }
});

// Where the browser can, it answers from the store by itself, without waking this worker first.
async function straight(event) {
  try {
    const from = (pathname) => ({ urlPattern: new URLPattern({ pathname, baseURL: self.location.origin }) });
    const names = [KEPT.shell, ...KEPT.files].map(from);
    await event.addRoutes?.([{ condition: { or: names }, source: { cacheName: CACHE } }]);
  } catch {
    // It asks this worker, then.
  }
}

async function kept(path, request) {
  const found = await (await caches.open(CACHE)).match(path);
  return found ?? fetch(request);
}

async function tile(request) {
  const found = (await caches.has(TILES)) && (await (await caches.open(TILES)).match(request.url));
  return found || fetch(request);
}

// Background Sync: a page that is open sends. Nothing relies on it: the page also sends when it
// opens and when the signal comes back.
self.addEventListener("sync", (event) => {
  event.waitUntil(
    (async () => {
      for (const client of await self.clients.matchAll()) client.postMessage("sync");
    })(),
  );
});
