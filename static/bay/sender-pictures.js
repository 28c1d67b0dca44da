// A photo's picture goes to the garage before the entry that tells of it, so that no page shows a photo without one.

import { pictureOf } from "./outbox.js";

// Some 300 kB, through the wall of a garage.
const LIMIT_MS = 60_000;

/** Send the picture of an entry: {} once the garage has it, {trouble: "away" | "unpaired"}, or {reason} if refused. */
export async function sendPicture(entry) {
  const picture = await pictureOf(entry.record);
  if (picture === undefined) return {}; // the entry stands without it: better than not at all
  const address = `/photos/${entry.record}/picture`;
  try {
    const response = await fetch(address, {
      method: "POST",
      headers: { "Content-Type": "image/jpeg", "Entry-Id": entry.id },
      body: picture,
      signal: AbortSignal.timeout(LIMIT_MS),
      cache: "no-store",
    });
    if (response.status === 401 || response.status === 403) return { trouble: "unpaired" };
    if (response.status === 413) return { reason: "This picture is too large." };
    if (response.status !== 200 && response.status !== 422) return { trouble: "away" };
    const { photo, outcome, reason } = await response.json();
    if (photo !== entry.record) return { trouble: "away" };
    if (outcome === "refused") return { reason };
  } catch {
    return { trouble: "away" };
  }
  await showFromHere(address, picture).catch(() => {}); // the garage can be asked for it
  return {};
}

// The page may lie open, or be opened again far from the garage (worker-pictures.js).
async function showFromHere(address, picture) {
  const pictures = await caches.open("pictures");
  await pictures.put(address, new Response(picture, { headers: { "Content-Type": "image/jpeg" } }));
}
