// What this page knows: the records the server wrote into it, and over them the entries it has not seen.
//
// The server's part stands in <script type="application/json" id="known"> as {"kind/id": {field: value}}.

import { follow } from "./follows.js";
import { sentAfter, waiting } from "./outbox.js";
import { recall, remember } from "./store.js";

/** The moment the server made this page, on its own clock. */
export function asOf() {
  return document.querySelector('meta[name="as-of"]')?.content ?? "";
}

function written(id) {
  const block = document.getElementById(id);
  return block ? JSON.parse(block.textContent) : {};
}

/** What a page worked out of a record ("ticket/t", {leading: "..."}), for other pages that can't work it out. */
export async function conclude(ref, fields) {
  await remember("concluded", { ...(await recall("concluded")), [ref]: fields });
}

/**
 * The records as they will stand once all is sent: {fields(ref), has(ref), waits(ref), fresh(kind)}.
 * A ref is "kind/id". Field by field, what was entered later wins, as at the server's door.
 */
export async function know() {
  const records = new Map(Object.entries(written("known")));
  const fromServer = new Set(records.keys());
  const waitingNow = await waiting();
  const unseen = [...(await sentAfter(asOf())), ...waitingNow].sort(byEntry);
  for (const { kind, record, fields } of unseen) {
    const ref = `${kind}/${record}`;
    records.set(ref, { ...records.get(ref), ...fields });
  }
  for (const [ref, fields] of Object.entries((await recall("concluded")) ?? {})) {
    // Once the server's page has seen all there is of a record, what it says of it counts.
    if (unseen.some((entry) => isAbout(entry, ref))) records.set(ref, { ...records.get(ref), ...fields });
  }
  follow(records, written("follows"));
  const waits = new Set(waitingNow.map(({ kind, record }) => `${kind}/${record}`));
  return {
    fields: (ref) => records.get(ref) ?? {},
    has: (ref) => records.has(ref),
    waits: (ref) => waits.has(ref),
    fresh: (kind) => [...records.keys()].filter((ref) => ref.startsWith(`${kind}/`) && !fromServer.has(ref)),
    all: (kind) => [...records.keys()].filter((ref) => ref.startsWith(`${kind}/`)),
  };
}

function isAbout(entry, ref) {
  const id = ref.slice(ref.indexOf("/") + 1);
  return entry.record === id || entry.record.startsWith(`${id}.`) || Object.values(entry.fields).includes(id);
}

function byEntry(a, b) {
  if (a.entered_at !== b.entered_at) return a.entered_at < b.entered_at ? -1 : 1;
  return a.id < b.id ? -1 : 1;
}
