// Keeps the whole page on this machine, so that it opens without a network. The stamp changes with every build.
const STAMP = "{stamp}";
const FILES = ["./", "./index.html", "./start.js", "./strungwell.js", "./strungwell_bg.wasm", "./style.css", "./favicon.svg", "./manifest.webmanifest"];
const KEPT = "strungwell-page-" + STAMP;

self.addEventListener("install", (event) => {
  // All or nothing, and never from the browser's own cache: the files of one build belong together.
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(FILES.map((file) => new Request(file, { cache: "reload" })))));
});

self.addEventListener("activate", (event) => {
  const old = (name) => name.startsWith("strungwell-page-") && name !== KEPT;
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter(old).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  event.respondWith(
    caches.open(KEPT)
      .then((kept) => kept.match(event.request, { ignoreSearch: event.request.mode === "navigate" }))
      .then((found) => found || fetch(event.request)),
  );
});
