import start from "./strungwell.js";

start({ module_or_path: new URL("./strungwell_bg.wasm", import.meta.url) });
