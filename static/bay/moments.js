// The moments a form says: what a box holds is this phone's local time, an entry says which moment that was.
//
//   data-now                                            (a box nobody typed into) the moment of the tap
//   data-after="ticket/t found_at|ticket/t noticed_at"  it follows the latest of these. A box knows minutes and a record
//     milliseconds, so one typed with the very minute it follows comes just after it
//   data-after-what="it was found|it was noticed"       what happened at each

import { plain } from "./holds.js";
import { shown } from "./known.js";

const MINUTE = "2026-04-18T10:40".length;

/** A moment as entries write it. */
export function now() {
  return new Date().toISOString();
}

/** The moment a box holds, or the end of the day it holds; nothing where it holds none. No box at all means now. */
export function momentIn(box) {
  if (!box) return now();
  const isNow = "now" in box.dataset && (box.type === "hidden" || !("typed" in box.dataset));
  if (isNow || (box.type === "date" && box.value === "")) return justAfter(now(), followed(box)?.at);
  const when = new Date(box.type === "date" ? `${box.value}T23:59` : box.value);
  return Number.isNaN(when.getTime()) ? "" : justAfter(when.toISOString(), followed(box)?.at);
}

function justAfter(at, before) {
  if (!before || at > before || at.slice(0, MINUTE) !== before.slice(0, MINUTE)) return at;
  return new Date(new Date(before).getTime() + 1).toISOString();
}

/** The moment a box's own follows, {at, what}; null where there is none. */
export function followed(box) {
  const whats = box.dataset.afterWhat?.split("|") ?? [];
  const steps = (box.dataset.after ?? "").split("|").filter(Boolean).map((step, n) => {
    const [ref, field] = step.split(" ");
    return { at: plain(shown().fields(ref)[field]), what: whats[n] };
  });
  return steps.reduce((late, one) => (one.at > (late?.at ?? "") ? one : late), null);
}
