// The page may run no inline script, so the app is started from here.
import init from "./ophryon.js";
await init();
