// Stands between this device and the machine that serves the page, for one purpose: where the machine cannot be
// reached, our own page says so and says what works, instead of the browser's error. Nothing else is kept here: a
// question, a limit or a record that may be out of date would be worse than none.
const KEPT = "leadsman-offline";
const PAGE = "/offline";
const FILES = [PAGE, "/assets/base.css", "/assets/offline.js", "/assets/mark.svg"];
const PATIENCE = 8000; // milliseconds: a network that swallows everything gives no error

self.addEventListener("install", (event) => event.waitUntil(keep().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const path = new URL(request.url).pathname;
  if (request.mode === "navigate") event.respondWith(go(request));
  else if (FILES.includes(path)) event.respondWith(fetch(request).catch(() => kept(path)));
});

async function keep() {
  const cache = await caches.open(KEPT);
  await cache.addAll(FILES.map((path) => new Request(path, { cache: "reload" })));
}

async function kept(path) {
  return (await caches.match(path)) || Response.error();
}

async function go(request) {
  let timer = 0;
  const patience = new Promise((_, fail) => { timer = setTimeout(() => fail(new Error("too late")), PATIENCE); });
  try {
    return await Promise.race([fetch(request), patience]);
  } catch {
    return kept(PAGE);
  } finally {
    clearTimeout(timer);
  }
}
