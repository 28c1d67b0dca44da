// Starts what every page needs: what waits is laid over it and sent, and forms are kept before they are sent.

import { capture } from "./capture.js";
import { lay } from "./lay.js";
import { onChange } from "./outbox.js";
import { sendFromNowOn } from "./sender.js";
import { showStrip } from "./strip.js";

async function refresh() {
  await Promise.all([lay(), showStrip()]);
}

for (const box of document.querySelectorAll('input[type="datetime-local"][data-now]')) {
  // The page may have lain on the phone for hours; the moment meant is this one.
  const here = new Date(Date.now() - new Date().getTimezoneOffset() * 60_000);
  box.value = here.toISOString().slice(0, 16);
}
capture(refresh);
onChange(refresh);
refresh();
sendFromNowOn(refresh);
