// Starts what every page needs: what waits is laid over it and sent, and forms are kept before they are sent.

import { capture } from "./capture.js";
import { setMoments } from "./entry.js";
import { lay } from "./lay.js";
import { leadToWrong } from "./marks.js";
import { openFromNowOn } from "./opens.js";
import { onChange } from "./outbox.js";
import { liveOnThisPhone } from "./phone.js";
import { sendFromNowOn } from "./sender.js";
import { showStrip } from "./strip.js";

let running = null;
let next = null;

// However many changes come while one is being shown, they are shown together after it.
function refresh() {
  if (running === null) {
    running = Promise.all([lay(), showStrip()]).finally(() => (running = null));
    return running;
  }
  next ??= running.catch(() => {}).then(() => {
    next = null;
    return refresh();
  });
  return next;
}

setMoments(document);
openFromNowOn();
leadToWrong();
capture(refresh);
onChange(refresh);
// The page is shown once it says what this phone knows (first.js), whatever became of that.
refresh().finally(() => document.documentElement.classList.remove("laying"));
liveOnThisPhone();
sendFromNowOn(refresh);
