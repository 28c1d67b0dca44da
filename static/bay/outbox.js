// Entries that were made on this phone and that the server has not yet answered for.
//
// Each holds what it says ({id, kind, record, version, fields, happened_at, entered_at}), `says` and `page` (what the
// person did, in words, and where), and how sending went: `state` is "waiting" or "refused" with `reasons`.

import { done, within } from "./store.js";

// More than anyone enters between two looks of this phone at the server.
const REMEMBERED = 5000;
const channel = new BroadcastChannel("outbox");
const listeners = new Set();

/** Call `listener()` whenever the outbox changes, in this tab or another. */
export function onChange(listener) {
  listeners.add(listener);
}

channel.onmessage = () => tell();

function tell() {
  for (const listener of listeners) listener();
}

function changed() {
  channel.postMessage("changed");
  tell();
}

/** Keep entries that belong to one act: all of them or, when the phone is full, none (it throws). */
export async function keep(entries) {
  await within("outbox", "readwrite", (outbox) =>
    Promise.all(entries.map((entry) => done(outbox.add({ ...entry, state: "waiting", reasons: {} })))),
  );
  changed();
}

/** Everything in the outbox, in the order it was entered. */
export function waiting() {
  return within("outbox", "readonly", (outbox) => done(outbox.getAll()));
}

/** The person withdrew these entries: they are gone. */
export async function withdraw(ids) {
  await within("outbox", "readwrite", (outbox) => Promise.all(ids.map((id) => takeOut(outbox, id))));
  changed();
}

/**
 * The server has taken these entries, at its moment `receivedAt`. They are remembered as sent: a page that the phone
 * kept from before that moment does not show them yet, and may be the only one to be had.
 */
export async function sent(ids, receivedAt) {
  await within(["outbox", "sent"], "readwrite", async (outbox, past) => {
    for (const id of ids) {
      const entry = await takeOut(outbox, id);
      if (entry !== undefined) await done(past.put({ ...entry, receivedAt }));
    }
    const n = await done(past.count());
    if (n > REMEMBERED) await forgetOldest(past, n - REMEMBERED);
  });
  changed();
}

/** Entries the server took after the moment `asOf`, in the order they were entered. */
export async function sentAfter(asOf) {
  const all = await within("sent", "readonly", (past) => done(past.getAll()));
  return all.filter((entry) => entry.receivedAt > asOf);
}

async function takeOut(outbox, id) {
  const entry = await done(outbox.index("id").get(id));
  if (entry !== undefined) await done(outbox.delete(entry.n));
  return entry;
}

async function forgetOldest(past, howMany) {
  for (const key of await done(past.getAllKeys(null, howMany))) await done(past.delete(key));
}

/** Change what is kept of one entry; nothing if it has left meanwhile. */
export async function amend(id, changes) {
  await within("outbox", "readwrite", async (outbox) => {
    const entry = await done(outbox.index("id").get(id));
    if (entry !== undefined) await done(outbox.put({ ...entry, ...changes }));
  });
  changed();
}
