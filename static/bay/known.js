// What this page knows: the records the server wrote into it, and over them the entries it has not seen.
//
// The server's part stands in <script type="application/json" id="known"> as {"kind/id": {field: value}}.

import { follow } from "./follows.js";
import { unseen } from "./outbox.js";
import { recall, remember } from "./store.js";

/** The moment the server made this page, on its own clock. */
export function asOf() {
  return document.querySelector('meta[name="as-of"]')?.content ?? "";
}

function written(id) {
  const block = document.getElementById(id);
  return block ? JSON.parse(block.textContent) : {};
}

// Fields that only make sense together are set together: those that an entry leaves out are set to nothing.
function sets(kind, fields, together) {
  const groups = (together[kind] ?? []).filter((group) => group.some((name) => name in fields));
  return { ...Object.fromEntries(groups.flat().map((name) => [name, null])), ...fields };
}

/** What a page worked out of a record ("ticket/t", {leading: "..."}), for other pages that can't work it out. */
export async function conclude(ref, fields) {
  await remember("concluded", { ...(await recall("concluded")), [ref]: fields });
}

let last = { fields: () => ({}), unseen: () => false, all: () => [] };

/** What know() said last: what the page shows just now. */
export function shown() {
  return last;
}

/**
 * The records as they will stand once all is sent: {fields(ref), has(ref), waits(ref), unseen(ref), fresh(kind),
 * all(kind), entries}; `entries` are those that the page has not seen.
 * `unseen`: the page was made before what this phone says of it was taken.
 * A ref is "kind/id". Field by field, what was entered later wins, as at the server's door. A record the server's page
 * does not know also has `entered_at`: when its first entry was made; one of which it has not seen all, `changed_at`.
 */
export async function know() {
  const records = new Map(Object.entries(written("known")));
  const fromServer = new Set(records.keys());
  const together = written("together");
  const { waiting, sent } = await unseen(asOf());
  const laid = [...sent, ...waiting].sort(byEntry);
  for (const { kind, record, fields, entered_at } of laid) {
    const ref = `${kind}/${record}`;
    records.set(ref, { ...(records.get(ref) ?? { entered_at }), ...sets(kind, fields, together), changed_at: entered_at });
  }
  for (const [ref, fields] of Object.entries((await recall("concluded")) ?? {})) {
    // Once the server's page has seen all there is of a record, what it says of it counts.
    if (laid.some((entry) => isAbout(entry, ref))) records.set(ref, { ...records.get(ref), ...fields });
  }
  follow(records, written("follows"));
  const changed = new Set(laid.map(({ kind, record }) => `${kind}/${record}`));
  const waits = new Set(waiting.map(({ kind, record }) => `${kind}/${record}`));
  last = {
    entries: laid,
    fields: (ref) => records.get(ref) ?? {},
    has: (ref) => records.has(ref),
    waits: (ref) => waits.has(ref),
    unseen: (ref) => changed.has(ref),
    fresh: (kind) => [...records.keys()].filter((ref) => ref.startsWith(`${kind}/`) && !fromServer.has(ref)),
    all: (kind) => [...records.keys()].filter((ref) => ref.startsWith(`${kind}/`)),
  };
  return last;
}

function isAbout(entry, ref) {
  const id = ref.slice(ref.indexOf("/") + 1);
  return entry.record === id || entry.record.startsWith(`${id}.`) || Object.values(entry.fields).includes(id);
}

function byEntry(a, b) {
  if (a.entered_at !== b.entered_at) return a.entered_at < b.entered_at ? -1 : 1;
  return a.id < b.id ? -1 : 1;
}
