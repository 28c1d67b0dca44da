// Entries that were made on this phone and that the server has not yet answered for.
//
// Each holds what it says ({id, kind, record, version, fields, happened_at, entered_at}), `says` and `page` (what the
// person did, in words, and where), and how sending went: `state` is "waiting" or "refused" with `reasons`. One that
// came with a `picture` (an ArrayBuffer) has it beside it, under its record's id, as long as it waits: `hasPicture`.

import { done, within } from "./store.js";

// The moment the last entry on this phone counts as entered, by name among its notes.
const LAST = "last entered";
const A_DAY_MS = 24 * 3600 * 1000;
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

/**
 * Keep entries that belong to one act: all of them or, when the phone is full, none (it throws).
 *
 * On one phone each is entered later than the one before, whatever its clock does meanwhile: where two set the same
 * field, the later `entered_at` wins, and that has to be what the person said last.
 */
export async function keep(entries) {
  await within(["outbox", "notes", "pictures"], "readwrite", async (outbox, notes, pictures) => {
    let last = (await done(notes.get(LAST))) ?? "";
    // A clock that was off by more than a day was no clock.
    if (last && new Date(last).getTime() - Date.now() > A_DAY_MS) last = "";
    const added = entries.flatMap(({ picture, ...entry }) => {
      last = entry.entered_at > last ? entry.entered_at : justAfter(last);
      const whole = { ...entry, entered_at: last, state: "waiting", reasons: {} };
      if (picture === undefined) return [done(outbox.add(whole))];
      return [done(outbox.add({ ...whole, hasPicture: true })), done(pictures.put(picture, entry.record))];
    });
    await Promise.all([...added, done(notes.put(last, LAST))]);
  });
  changed();
}

const justAfter = (moment) => new Date(new Date(moment).getTime() + 1).toISOString();

/** Everything in the outbox, in the order it was entered. */
export function waiting() {
  return within("outbox", "readonly", (outbox) => done(outbox.getAll()));
}

/** The person withdrew these entries: they are gone. */
export async function withdraw(ids) {
  await within(["outbox", "pictures"], "readwrite", (outbox, pictures) =>
    Promise.all(ids.map((id) => takeOut(outbox, pictures, id))),
  );
  changed();
}

/**
 * The server has taken these entries; its pages made from the moment `shownFrom` on show them. They are remembered as
 * sent: a page that the phone kept from before that moment does not, and may be the only one to be had.
 */
export async function sent(ids, shownFrom) {
  try {
    await within(["outbox", "pictures", "sent"], "readwrite", async (outbox, pictures, past) => {
      for (const id of ids) {
        const entry = await takeOut(outbox, pictures, id);
        if (entry !== undefined) await done(past.put({ ...entry, shownFrom }));
      }
      const n = await done(past.count());
      if (n > REMEMBERED) await forgetOldest(past, n - REMEMBERED);
    });
  } catch (error) {
    if (error?.name !== "QuotaExceededError") throw error;
    // A full phone forgets what the server has, or it would send it for ever.
    await within(["outbox", "pictures", "sent"], "readwrite", async (outbox, pictures, past) => {
      for (const id of ids) await takeOut(outbox, pictures, id);
      await done(past.clear());
    });
  }
  changed();
}

/** What a page made at the moment `asOf` may not show, in one look: {waiting, sent}, each in the order it was entered. */
export function unseen(asOf) {
  return within(["outbox", "sent"], "readonly", async (outbox, past) => {
    const range = IDBKeyRange.lowerBound(asOf);
    const [waits, taken] = await Promise.all([done(outbox.getAll()), done(past.index("shownFrom").getAll(range))]);
    return { waiting: waits, sent: taken };
  });
}

/** The picture of a photo that waits on this phone; undefined if there is none. */
export function pictureOf(photo) {
  return within("pictures", "readonly", (pictures) => done(pictures.get(photo)));
}

async function takeOut(outbox, pictures, id) {
  const entry = await done(outbox.index("id").get(id));
  if (entry !== undefined) await done(outbox.delete(entry.n));
  if (entry?.hasPicture) await done(pictures.delete(entry.record));
  return entry;
}

async function forgetOldest(past, howMany) {
  for (const key of await done(past.getAllKeys(null, howMany))) await done(past.delete(key));
}

/**
 * Change what is kept of one entry; nothing if it has left meanwhile.
 *
 * With another `id` it is another entry, in the place of the first: the server may have that one already, so this one
 * counts as entered just after it.
 */
export async function amend(id, changes) {
  await within("outbox", "readwrite", async (outbox) => {
    const entry = await done(outbox.index("id").get(id));
    if (entry === undefined) return;
    const mended = (changes.id ?? id) === id ? {} : { entered_at: justAfter(entry.entered_at) };
    await done(outbox.put({ ...entry, ...changes, ...mended }));
  });
  changed();
}
