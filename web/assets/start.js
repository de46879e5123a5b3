// Starts the page's program. A file of its own, since the page allows no inline script.
import start from "./strungwell.js";

document.documentElement.dataset.build = "{stamp}";
let failed = false;
const TRIED = ["strungwell-took", "strungwell-mended"];
start({ module_or_path: new URL("./strungwell_bg.wasm", import.meta.url) }).then(() => {
  try { for (const tried of TRIED) sessionStorage.removeItem(tried); } catch { return; }
}, (why) => {
  failed = true;
  const words = document.createElement("p");
  words.setAttribute("role", "alert");
  words.textContent = "Strungwell could not start in this browser: " + why;
  document.body.append(words);
  mend();
});

// What was typed into fields that belong to no record yet: kept while this window opens anew, and put back by the fields.
const touched = new Set();
addEventListener("input", (event) => touched.add(event.target), true);
addEventListener("pagehide", () => {
  for (const field of touched) {
    if (!field.isConnected || !field.value || !field.closest(".unkept")) continue;
    try { sessionStorage.setItem("strungwell-typed " + field.dataset.field + location.hash, field.value); } catch { return; }
  }
});

// Of a page that did not start nothing is lost by opening it anew: once with the newer one, once with its files fetched again.
let newer = null;
function mend() {
  const worker = newer || navigator.serviceWorker?.controller;
  if (!failed || !worker) return;
  const tried = TRIED[newer ? 0 : 1];
  try {
    if (sessionStorage.getItem(tried)) return;
    sessionStorage.setItem(tried, "1");
  } catch { return; }
  asked = true;
  worker.postMessage(newer ? "take over" : "mend");
}

// The page kept on this machine. A newer one waits until the person takes it, or until the page is closed everywhere. Then the
// window that asked opens anew; the others are told and go on as they are, with all that is typed in them.
let asked = false;
if ("serviceWorker" in navigator) {
  const kept = navigator.serviceWorker;
  const waits = (worker) => {
    newer = worker;
    window.strungwellNewer = () => {
      asked = true;
      worker.postMessage("take over");
    };
    window.dispatchEvent(new Event("newer"));
    mend();
  };
  let had = kept.controller !== null;
  kept.addEventListener("controllerchange", () => {
    if (asked) location.reload();
    else if (had) {
      window.strungwellNewer = () => location.reload();
      window.dispatchEvent(new Event("taken"));
    }
    had = true;
  });
  kept.addEventListener("message", (event) => {
    if (event.data === "mended" && failed) location.reload();
  });
  // Refused where there is no secure address or no room: then the page needs its network, and all else works.
  kept.register("./worker.js").then((place) => {
    if (place.waiting && kept.controller) waits(place.waiting);
    place.addEventListener("updatefound", () => {
      const worker = place.installing;
      worker?.addEventListener("statechange", () => {
        if (worker.state === "installed" && kept.controller) waits(worker);
      });
    });
  }).catch(() => {});
}
