// Keeps the whole page on this machine, so that it opens without a network. The stamp changes with every build.
const STAMP = "{stamp}";
// The files of this build, each with its length and checksum.
const FILES = {files};
const KEPT = "strungwell-page-" + STAMP;

function crc32(bytes) {
  const table = Int32Array.from({ length: 256 }, (_, n) => {
    for (let bit = 0; bit < 8; bit++) n = n & 1 ? (n >>> 1) ^ 0xedb88320 : n >>> 1;
    return n;
  });
  let sum = -1;
  for (const byte of bytes) sum = (sum >>> 8) ^ table[(sum ^ byte) & 255];
  return (sum ^ -1) >>> 0;
}

// Fetches every file, never from the browser's own cache, and keeps them all or none: files of two builds, as a host has them
// while it is being written, are not kept, and the browser asks again another time.
async function fill() {
  const found = await Promise.all(Object.entries(FILES).map(async ([name, [length, sum]]) => {
    const answer = await fetch(name, { cache: "reload" });
    const bytes = new Uint8Array(await answer.clone().arrayBuffer());
    if (!answer.ok || bytes.length !== length || crc32(bytes) !== sum) throw new Error(name + " is of another build");
    return [name, answer];
  }));
  const kept = await caches.open(KEPT);
  await Promise.all(found.map(([name, answer]) => kept.put(name, answer)));
}

self.addEventListener("install", (event) => event.waitUntil(fill()));

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
  // A window whose page did not start: what is kept may be broken.
  if (event.data === "mend") event.waitUntil(fill().then(() => event.source.postMessage("mended"), () => {}));
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
