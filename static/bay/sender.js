// Sends what waits, oldest first, one sender at a time on this phone whatever the number of tabs.

import { amend, sent, waiting } from "./outbox.js";
import { sendPicture } from "./sender-pictures.js";
import { remember } from "./store.js";

const AT_ONCE = 50;
const LIMIT_MS = 10_000;
const EVERY_MS = 20_000;

/** What became of sending: {taken: [entries that left], refused: [entries], trouble: null | "away" | "unpaired"}. */
export function send() {
  if (!isSecureContext) return Promise.resolve({ taken: [], refused: [], trouble: null }); // nothing is kept there
  // The lock is the browser's: a second tab waits its turn and then finds little or nothing left to send.
  return navigator.locks.request("outbox", sendAll);
}

async function sendAll() {
  const result = { taken: [], refused: [], trouble: null };
  for (;;) {
    const next = ready(await waiting()).slice(0, AT_ONCE);
    if (next.length === 0) break;
    if (isUnsent(next[0])) {
      if (!(await settlePicture(next[0], await sendPicture(next[0]), result))) break;
      continue;
    }
    // What was entered before a picture need not wait for it.
    const picture = next.findIndex(isUnsent);
    const batch = picture < 0 ? next : next.slice(0, picture);
    const answer = await post(batch);
    if (answer.trouble === "misread" && batch.length > 1) {
      // One of them can't be read by the server; alone, it is told apart from the others.
      const alone = await post(batch.slice(0, 1));
      if (!(await settle(batch.slice(0, 1), alone, result))) break;
    } else if (!(await settle(batch, answer, result))) break;
  }
  // A full phone can't even remember this; what it did send has left the outbox all the same.
  await remember("sending", { trouble: result.trouble, at: new Date().toISOString() }).catch(() => {});
  return result;
}

const isUnsent = (entry) => entry.hasPicture && !entry.pictureSent;

async function settlePicture(entry, { trouble, reason }, result) {
  if (trouble) {
    result.trouble = trouble;
    return false;
  }
  if (reason) await refuse(entry, { "": reason }, result);
  else await amend(entry.id, { pictureSent: true });
  return true;
}

// What waits and does not need an entry that was refused: that one's own record, or one that names it.
function ready(entries) {
  const held = heldAmong(entries);
  return entries.filter((entry) => !held.has(entry));
}

/** Those that can't be sent for now: refused, or waiting for an entry before them to be mended. */
export function heldAmong(entries) {
  const held = new Set();
  for (const entry of entries) {
    if (entry.state === "refused" || [...held].some((before) => needs(entry, before))) held.add(entry);
  }
  return held;
}

function needs(entry, before) {
  return (
    (entry.kind === before.kind && entry.record === before.record) ||
    entry.record.startsWith(`${before.record}.`) ||
    Object.values(entry.fields).includes(before.record)
  );
}

async function post(batch) {
  const entries = batch.map(({ id, kind, record, version, fields, happened_at, entered_at }) => ({
    id, kind, record, version, fields, happened_at, entered_at,
  }));
  let response;
  try {
    response = await fetch("/entries", {
      method: "POST",
      headers: { "Content-Type": "application/json", "Entry-Id": entries[0].id },
      body: JSON.stringify({ entries }),
      signal: AbortSignal.timeout(LIMIT_MS),
      cache: "no-store",
    });
    if (response.status === 401 || response.status === 403) return { trouble: "unpaired" };
    if ([400, 413, 422].includes(response.status)) return { trouble: "misread" };
    if (!response.ok) return { trouble: "away" };
    const { outcomes, shown_from: shownFrom } = await response.json();
    return { outcomes, shownFrom };
  } catch {
    return { trouble: "away" };
  }
}

// Whether to go on: an entry leaves only on an answer that names it.
async function settle(batch, answer, result) {
  if (answer.trouble === "misread") {
    await refuse(batch[0], { "": "The server could not read this." }, result);
    return true;
  }
  if (answer.trouble) {
    result.trouble = answer.trouble;
    return false;
  }
  const outcomes = new Map(answer.outcomes.map((outcome) => [outcome.id, outcome]));
  const taken = batch.filter((entry) => ["taken", "had"].includes(outcomes.get(entry.id)?.outcome));
  await sent(taken.map((entry) => entry.id), answer.shownFrom);
  result.taken.push(...taken);
  const refused = batch.filter((entry) => outcomes.get(entry.id)?.outcome === "refused");
  for (const [n, entry] of refused.entries()) {
    // What needs another refused one was refused only for that: it waits for the other to be mended, or withdrawn.
    if (refused.slice(0, n).some((before) => needs(entry, before))) continue;
    await refuse(entry, outcomes.get(entry.id).reasons, result);
  }
  // An answer that names none of them would have us ask forever.
  return batch.some((entry) => outcomes.has(entry.id));
}

async function refuse(entry, reasons, result) {
  await amend(entry.id, { state: "refused", reasons });
  result.refused.push({ ...entry, state: "refused", reasons });
}

/** Send now, when the page is seen again, when the system says there is a network, and every so often. */
export function sendFromNowOn(after) {
  const go = () => send().then(after, () => {});
  go();
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && go());
  addEventListener("online", go);
  setInterval(() => document.visibilityState === "visible" && go(), EVERY_MS);
}
