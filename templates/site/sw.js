// The service worker. EDITION and FILES (path and hash of every file) are put before this text when the site is pressed.
// A file is kept as path?hash, so that an edition is whole: the worker of the old edition answers from the old files until the
// reader asks for the new one.
const SHELF = "costrel";
const HASHES = new Map(FILES);
const key = (path) => new URL(path + "?" + HASHES.get(path), registration.scope).href;

async function fill() {
  const shelf = await caches.open(SHELF);
  const have = new Set((await shelf.keys()).map((request) => request.url));
  const wanted = FILES.map(([path]) => path).filter((path) => !have.has(key(path)));
  // A few at a time: a phone on a bad signal would lose them all together.
  const fetchOne = async (path) => {
    const response = await fetch(new URL(path, registration.scope), { cache: "no-cache" });
    if (!response.ok) throw new Error(path);
    await shelf.put(key(path), response);
  };
  const next = async () => {
    for (let path = wanted.shift(); path !== undefined; path = wanted.shift()) await fetchOne(path);
  };
  await Promise.all([next(), next(), next(), next()]);
}

async function clear() {
  const shelf = await caches.open(SHELF);
  const wanted = new Set(FILES.map(([path]) => key(path)));
  const old = (await shelf.keys()).filter((request) => !wanted.has(request.url));
  await Promise.all(old.map((request) => shelf.delete(request)));
  await clients.claim();
}

function pathOf(url) {
  if (!url.href.startsWith(registration.scope)) return undefined;
  const path = url.origin + url.pathname;
  const below = path.slice(registration.scope.length);
  return below === "" || below.endsWith("/") ? below + "index.html" : below;
}

async function answer(request, path) {
  const shelf = await caches.open(SHELF);
  if (HASHES.has(path)) {
    const kept = await shelf.match(key(path));
    if (kept) return kept;
  }
  try {
    return await fetch(request);
  } catch (error) {
    // Its links are relative, so it is shown at its own address.
    if (request.mode === "navigate") return Response.redirect(new URL("404.html", registration.scope));
    throw error;
  }
}

addEventListener("install", (event) => event.waitUntil(fill()));
addEventListener("activate", (event) => event.waitUntil(clear()));
addEventListener("message", (event) => {
  if (event.data === "newer") skipWaiting();
});
addEventListener("fetch", (event) => {
  if (event.request.method !== "GET") return;
  const path = pathOf(new URL(event.request.url));
  if (path !== undefined) event.respondWith(answer(event.request, path));
});
