// What this page knows: the records the server wrote into it, and over them the entries it has not seen.
//
// The server's part stands in <script type="application/json" id="known"> as {"kind/id": {field: value}}.

import { sentAfter, waiting } from "./outbox.js";

/** The moment the server made this page, on its own clock. */
export function asOf() {
  return document.querySelector('meta[name="as-of"]')?.content ?? "";
}

function written() {
  const block = document.getElementById("known");
  return block ? JSON.parse(block.textContent) : {};
}

/**
 * The records as they will stand once all is sent: {fields(ref), has(ref), waits(ref), fresh(kind)}.
 * A ref is "kind/id". Field by field, what was entered later wins, as at the server's door.
 */
export async function know() {
  const records = new Map(Object.entries(written()));
  const fromServer = new Set(records.keys());
  const waitingNow = await waiting();
  const unseen = [...(await sentAfter(asOf())), ...waitingNow].sort(byEntry);
  for (const { kind, record, fields } of unseen) {
    const ref = `${kind}/${record}`;
    records.set(ref, { ...records.get(ref), ...fields });
  }
  const waits = new Set(waitingNow.map(({ kind, record }) => `${kind}/${record}`));
  return {
    fields: (ref) => records.get(ref) ?? {},
    has: (ref) => records.has(ref),
    waits: (ref) => waits.has(ref),
    fresh: (kind) => [...records.keys()].filter((ref) => ref.startsWith(`${kind}/`) && !fromServer.has(ref)),
    all: (kind) => [...records.keys()].filter((ref) => ref.startsWith(`${kind}/`)),
  };
}

function byEntry(a, b) {
  if (a.entered_at !== b.entered_at) return a.entered_at < b.entered_at ? -1 : 1;
  return a.id < b.id ? -1 : 1;
}
