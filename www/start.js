// Starts the app, and keeps a copy of it for work without a network.
//
// A newer version is fetched quietly in the background and taken when the page
// is next opened with no other page of ours open: never during work.

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

async function takeNewerVersion() {
  const kept = await navigator.serviceWorker.getRegistration();
  if (!kept?.waiting || !navigator.serviceWorker.controller) return;
  const taken = new Promise((done) => {
    navigator.serviceWorker.addEventListener("controllerchange", () => done(true), { once: true });
    setTimeout(() => done(false), 1500);
  });
  kept.waiting.postMessage("take over if alone");
  if (await taken) {
    location.reload();
    await new Promise(() => {});
  }
}

async function keepCopy() {
  try {
    const answer = await fetch("assets.json", { cache: "no-store" });
    if (!answer.ok) return;
    const { version } = await answer.json();
    await navigator.serviceWorker.register(`sw.js?v=${version}`);
  } catch {
    // Without network there is nothing newer; the copy at hand serves.
  }
}

try {
  const canKeep = "serviceWorker" in navigator && isSecureContext;
  if (canKeep) await takeNewerVersion();
  const { default: init } = await import("./ophryon.js");
  await init({ module_or_path: new URL("ophryon_bg.wasm", import.meta.url) });
  starting.remove();
  if (canKeep) keepCopy();
} catch (trouble) {
  stop(
    "The app could not be loaded. Check that its server is running, then open the page again. Nothing kept on this device is touched.",
    String(trouble?.message ?? trouble),
  );
}
