// The strip on every page: how many entries wait on this phone, since when, and what keeps them.

import { waiting } from "./outbox.js";
import { recall } from "./store.js";
import { moment } from "./words.js";

const TOO_LONG_MS = 3 * 24 * 3600 * 1000;

/** Show what waits; nothing waiting, nothing shown. */
export async function showStrip() {
  const strip = document.getElementById("waiting");
  if (!strip) return;
  const [entries, sending] = await Promise.all([waiting(), recall("sending")]);
  strip.hidden = entries.length === 0;
  // The next page then knows, before it is painted, that something will be laid over it (first.js).
  localStorage.setItem("waits", entries.length > 0 ? "yes" : "no");
  if (entries.length === 0) return;
  const refused = entries.filter((entry) => entry.state === "refused").length;
  strip.querySelector("b").textContent = String(entries.length);
  strip.querySelector("[data-says]").textContent = says(entries, refused, sending);
}

function says(entries, refused, sending) {
  const word = entries.length === 1 ? "entry waits" : "entries wait";
  const since = entries[0].entered_at;
  if (refused > 0) return `${word} on this phone, ${refused} to be mended`;
  if (sending?.trouble === "unpaired") return `${word}: this phone is not paired`;
  if (Date.now() - new Date(since).getTime() > TOO_LONG_MS) return `${word} since ${moment(since)}: bring it near the garage`;
  return `${word} on this phone since ${moment(since)}`;
}
