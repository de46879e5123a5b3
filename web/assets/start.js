// Starts the page's program. A file of its own, since the page allows no inline script.
import start from "./strungwell.js";

start({ module_or_path: new URL("./strungwell_bg.wasm", import.meta.url) }).catch((why) => {
  const words = document.createElement("p");
  words.setAttribute("role", "alert");
  words.textContent = "Strungwell could not start in this browser: " + why;
  document.body.append(words);
});
