// Starts the program. Inline scripts are forbidden by the content security policy, so these lines stand here.
import init from "./app.js";

// The page starts these from the program, which does not know their names.
globalThis.lanewrightPlanner = new URL("./planner.js", import.meta.url).href;
globalThis.lanewrightListener = new URL("./listener.js", import.meta.url).href;
globalThis.lanewrightRecorder = new URL("./recorder.js", import.meta.url).href;

init().catch((error) => {
  const waiting = document.getElementById("waiting");
  if (waiting) {
    waiting.textContent = `Lanewright could not start: ${error.message}. Reload the page, or use a current browser.`;
  }
});
