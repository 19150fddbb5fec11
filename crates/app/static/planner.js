// Plans lessons beside the page, so that no tap waits for them. The page sends its own compiled module, then text with
// every question; answers are text.
import init, { plan_beside } from "./app.js";

let ready;

self.onmessage = ({ data }) => {
  ready ??= init({ module_or_path: data.module });
  ready
    .then(() => data.asked && plan_beside(data.asked, (told) => self.postMessage(told)))
    // The page plans by itself when this happens.
    .catch((error) => self.reportError(error));
};
