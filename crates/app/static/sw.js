// Keeps the app on the device, so that it opens without a network. Data is never in here: it lives in IndexedDB.
//
// The build fills in the version and the list of files. A new version waits until the person reloads, so that the
// app never changes under their hands.
const VERSION = "__VERSION__";
const FILES = ["__FILES__"];
const CACHE = `lanewright-${VERSION}`;
const PAGE = "/index.html";

self.addEventListener("install", (event) => {
  const requests = FILES.map((file) => new Request(file, { cache: "reload" }));
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(requests)));
});

self.addEventListener("activate", (event) => {
  const old = (name) => name.startsWith("lanewright-") && name !== CACHE;
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter(old).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("message", (event) => {
  if (event.data === "take over") {
    self.skipWaiting();
  }
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) {
    return;
  }
  // Everything but the app's own files goes to the server: what it says, and one-time links.
  const path = url.pathname === "/" ? PAGE : url.pathname;
  if (!FILES.includes(path)) {
    return;
  }
  event.respondWith(
    caches
      .open(CACHE)
      .then((cache) => cache.match(path))
      .then((kept) => kept ?? fetch(event.request)),
  );
});
