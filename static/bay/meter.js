// Whether a figure off a meter is likely, held against what it read before that moment (app/pages/doubts.py asks the
// same of a form sent without scripts).
//
// The page brings what is known of the meter in <script type="application/json" id="meter">: {of: [field, record] whose
// meter it is, said: [[moment, figure, ref], ...] the last ones, kinds: {kind: [moment's field, figure's field]}, leap,
// unit}. What this phone has entered since counts with them.

import { momentIn } from "./moments.js";
import { day, distance, figure } from "./words.js";

/** The question to ask about a box's figure; `data-ask-at` names the box of the moment it was read at. */
export function meterDoubt(control, form, known) {
  const meter = JSON.parse(document.getElementById("meter")?.textContent ?? "null");
  const reads = figure(control.value.trim());
  const at = momentIn(form.elements.namedItem(control.dataset.askAt));
  if (meter === null || control.value.trim() === "" || !Number.isFinite(reads) || at === "") return null;
  const before = said(meter, known).filter(([then]) => then <= at);
  const last = before.reduce((late, one) => (late === null || one[0] >= late[0] ? one : late), null);
  if (last === null || (reads >= last[1] && reads - last[1] <= meter.leap)) return null;
  const further = reads < last[1] ? "right (a new instrument cluster)" : `right, ${distance(reads - last[1], meter.unit)} further`;
  return `The odometer read ${distance(last[1], meter.unit)} ${on(last[0])}. Is ${distance(reads, meter.unit)} ${further}?`;
}

function said(meter, known) {
  const [field, record] = meter.of;
  const told = new Map(meter.said.map(([at, reads, ref]) => [ref, [at, reads]]));
  for (const [kind, [moment, reads]] of Object.entries(meter.kinds)) {
    for (const ref of known.all(kind).filter((one) => known.unseen(one))) {
      const fields = known.fields(ref);
      if (!told.has(ref) && fields[field] !== record) continue;
      const [at, read] = told.get(ref) ?? [];
      told.set(ref, [fields[moment] ?? at, figure(fields[reads] ?? read), fields.void_reason]);
    }
  }
  return [...told.values()].filter(([at, reads, isVoid]) => at && !isVoid && Number.isFinite(reads));
}

function on(at) {
  const when = day(at);
  return ["today", "yesterday"].includes(when) ? when : `on ${when}`;
}
