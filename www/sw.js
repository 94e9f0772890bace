// Keeps one whole version of the app, so that every screen works without a
// network after one visit. Its address carries the version (sw.js?v=...), and
// each version has its own cache: files of two versions never mix.

const PREFIX = "ophryon-";
const version = new URL(location.href).searchParams.get("v") ?? "none";
const cacheName = PREFIX + version;

function hex(buffer) {
  return Array.from(new Uint8Array(buffer), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

// Letters of other scripts are large and seldom needed: kept from the first use on.
function isLetters(path) {
  return /(^|\/)fonts\//.test(path);
}

async function fill() {
  const answer = await fetch("assets.json", { cache: "no-store" });
  const list = await answer.json();
  if (list.version !== version) throw new Error("the server has another version by now");
  const cache = await caches.open(cacheName);
  await Promise.all(
    list.files.filter(({ name }) => !isLetters(name)).map(async ({ name, sha256 }) => {
      // Asked for anew, but not sent again where the page has fetched it.
      const file = await fetch(name, { cache: "no-cache" });
      if (!file.ok) throw new Error(`${name}: ${file.status}`);
      const bytes = await file.clone().arrayBuffer();
      if (hex(await crypto.subtle.digest("SHA-256", bytes)) !== sha256) {
        throw new Error(`${name} came damaged`);
      }
      await cache.put(name, file);
    }),
  );
}

async function clear() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(PREFIX) && name !== cacheName);
  await Promise.all(old.map((name) => caches.delete(name)));
  await self.clients.claim();
}

addEventListener("install", (event) => event.waitUntil(fill()));
addEventListener("activate", (event) => event.waitUntil(clear()));

// The page asks this of a version that waits: whether it may be taken. It may
// while no other page of ours is open, which could be at work with a client and
// still need the version that it was opened with.
addEventListener("message", (event) => {
  const { asks } = event.data ?? {};
  if (asks === "alone") {
    event.waitUntil(isAlone().then((alone) => event.ports[0]?.postMessage(alone)));
  } else if (asks === "take over") {
    event.waitUntil(isAlone().then((alone) => alone && self.skipWaiting()));
  }
});

async function isAlone() {
  const pages = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
  return pages.length <= 1;
}

addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  // What is newest is only known to the server.
  if (url.pathname.endsWith("/assets.json")) return;
  event.respondWith(answer(request));
});

async function answer(request) {
  const cache = await caches.open(cacheName);
  const wanted = request.mode === "navigate" ? "index.html" : request;
  const kept = await cache.match(wanted, { ignoreSearch: true });
  if (kept) return kept;
  const fresh = await fetch(request);
  if (fresh.ok && isLetters(new URL(request.url).pathname)) await cache.put(request, fresh.clone());
  return fresh;
}
