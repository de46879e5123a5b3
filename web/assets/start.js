// Starts the page's program. A file of its own, since the page allows no inline script.
import start from "./strungwell.js";

document.documentElement.dataset.build = "{stamp}";
start({ module_or_path: new URL("./strungwell_bg.wasm", import.meta.url) }).catch((why) => {
  const words = document.createElement("p");
  words.setAttribute("role", "alert");
  words.textContent = "Strungwell could not start in this browser: " + why;
  document.body.append(words);
});

// The page kept on this machine. A newer one waits until the person takes it, or until the page is closed everywhere.
if ("serviceWorker" in navigator) {
  const kept = navigator.serviceWorker;
  const waits = (worker) => {
    window.strungwellNewer = () => worker.postMessage("take over");
    window.dispatchEvent(new Event("newer"));
  };
  let had = kept.controller !== null;
  kept.addEventListener("controllerchange", () => {
    if (had) location.reload();
    had = true;
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
