// Starts the app, and keeps a copy of it for work without a network.
//
// A newer version is fetched quietly in the background. It is taken between
// clients: when the page is opened, or when the first screen comes back, and
// only with no other page of ours open. Never during work, and never while the
// device is in a client's hands.

const starting = document.getElementById("starting");
const stopped = document.getElementById("stopped");

function stop(words, detail) {
  starting.hidden = true;
  if (words) stopped.querySelector("p").textContent = words;
  document.getElementById("stopped-detail").textContent = detail ?? "";
  stopped.hidden = false;
}

document.getElementById("stopped-again").addEventListener("click", () => location.reload());

// A trap in WebAssembly leaves the app dead; say so instead of freezing.
addEventListener("error", (event) => {
  if (event.error instanceof WebAssembly.RuntimeError) stop(null, event.message);
});
addEventListener("unhandledrejection", (event) => {
  if (event.reason instanceof WebAssembly.RuntimeError) stop(null, String(event.reason.message));
});

// The sample clients are files beside the app; a file dropped next to the
// stage must not make the browser leave the page.
for (const kind of ["dragover", "drop"]) {
  addEventListener(kind, (event) => event.preventDefault());
}

const canKeep = "serviceWorker" in navigator && isSecureContext;

// How long an answer of a version that waits is waited for, ms.
const SOON = 1500;

function isAlone(waiting) {
  return new Promise((done) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => done(data === true);
    setTimeout(() => done(false), SOON);
    waiting.postMessage({ asks: "alone" }, [port2]);
  });
}

async function takeNewerVersion() {
  // Where the browser's settings deny it, there is none and the app works on.
  const kept = await navigator.serviceWorker.getRegistration().catch(() => null);
  if (!kept?.waiting || !navigator.serviceWorker.controller) return;
  if (!(await isAlone(kept.waiting))) return;
  // Covered, so that nobody begins anything in what is about to go.
  const cover = document.getElementById("starting") ?? putUpCover();
  const taken = new Promise((done) => {
    navigator.serviceWorker.addEventListener("controllerchange", () => done(true), { once: true });
    setTimeout(() => done(false), SOON);
  });
  kept.waiting.postMessage({ asks: "take over" });
  if (await taken) {
    location.reload();
    await new Promise(() => {});
  }
  if (cover !== starting) cover.remove();
}

function putUpCover() {
  const cover = document.createElement("div");
  cover.className = "notice-page";
  cover.setAttribute("role", "status");
  const card = cover.appendChild(document.createElement("div"));
  card.className = "notice-card";
  card.appendChild(document.createElement("p")).textContent = "Taking the newer version of the app.";
  document.body.append(cover);
  return cover;
}

// An app that stays open for days looks again, at most so often, ms.
const AN_HOUR = 3_600_000;
let looked = -AN_HOUR;

async function keepCopy() {
  if (performance.now() - looked < AN_HOUR) return;
  looked = performance.now();
  try {
    const answer = await fetch("assets.json", { cache: "no-store" });
    if (!answer.ok) return;
    const { version } = await answer.json();
    await navigator.serviceWorker.register(`sw.js?v=${version}`);
  } catch {
    // Without network there is nothing newer; the copy at hand serves.
  }
}

// The app says so whenever its first screen comes back.
addEventListener("ophryon-between-clients", async () => {
  if (!canKeep) return;
  await takeNewerVersion();
  keepCopy();
});

// Styles of what isn't on the first screen, in this order; the build puts them
// beside the parts of the app.
const LATER_STYLES = [
  "hands", "shaping", "balance", "paper", "safe", "versions", "visits", "healed", "handed", "look", "show",
  "signing", "guest",
];

function bringStyles() {
  for (const name of LATER_STYLES) {
    const link = document.createElement("link");
    link.rel = "stylesheet";
    link.href = `later/styles/${name}.css`;
    document.head.append(link);
  }
}

try {
  if (canKeep) await takeNewerVersion();
  const { default: init } = await import("./ophryon.js");
  await init({ module_or_path: new URL("ophryon_bg.wasm", import.meta.url) });
  starting.remove();
  bringStyles();
  if (canKeep) keepCopy();
} catch (trouble) {
  stop(
    "The app could not be loaded. Check that its server is running, then open the page again. Nothing kept on this device is touched.",
    String(trouble?.message ?? trouble),
  );
}
