// Listens to one take beside the page, so that no tap waits for it. The page sends its own compiled module and the
// samples; the answer is text. Nothing is kept.
import init, { listen_beside } from "./app.js";

let ready;

self.onmessage = ({ data }) => {
  ready ??= init({ module_or_path: data.module });
  ready
    .then(() => data.samples && self.postMessage(listen_beside(data.samples, data.rate, data.asked)))
    .catch((error) => self.reportError(error));
};
