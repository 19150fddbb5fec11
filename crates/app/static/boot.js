// Starts the program. Inline scripts are forbidden by the content security policy, so these lines stand here.
import init from "./app.js";

// The page starts these from the program, which does not know their names.
globalThis.lanewrightPlanner = new URL("./planner.js", import.meta.url).href;
globalThis.lanewrightListener = new URL("./listener.js", import.meta.url).href;
globalThis.lanewrightRecorder = new URL("./recorder.js", import.meta.url).href;

// What is said before the program can speak: its own words come with it.
const WORDS = {
  en: {
    starting: "Lanewright is starting …",
    failed: (why) => `Lanewright could not start: ${why}. Reload the page, or use a current browser.`,
  },
  de: {
    starting: "Lanewright startet …",
    failed: (why) => `Lanewright konnte nicht starten: ${why}. Seite neu laden oder einen aktuellen Browser nehmen.`,
  },
};
const kept = (() => {
  try {
    return localStorage.getItem("lanewright-language");
  } catch {
    return null;
  }
})();
const tags = [kept, ...navigator.languages].filter(Boolean).map((tag) => tag.slice(0, 2).toLowerCase());
const words = WORDS[tags.find((tag) => tag in WORDS) ?? "en"];
const waiting = document.getElementById("waiting");
if (waiting) {
  waiting.textContent = words.starting;
}

init().catch((error) => {
  if (waiting) {
    waiting.textContent = words.failed(error.message);
  }
});
