// What of this phone's is not in something that only the server can work out.
//
//   <p data-not-counted="touch check line" data-of="tern" hidden>Not yet counted in this: <b></b> of this phone.</p>
//     shown while the page has not seen entries of these kinds; data-of is the id of what they belong to, by their own
//     field `car`, or that of a record they name. What can't be told apart counts.

import { filters } from "./words.js";

/** Say it wherever a page asks for it. */
export function sayUncounted(root, known) {
  for (const element of root.querySelectorAll("[data-not-counted]")) {
    const { notCounted, of } = element.dataset;
    const kinds = notCounted.split(" ");
    const n = known.entries.filter((entry) => kinds.includes(entry.kind) && [of, null].includes(ownerOf(entry, known))).length;
    element.hidden = n === 0;
    element.querySelector("b").textContent = filters.count(n, "entry", "entries");
  }
}

function ownerOf({ kind, record, fields }, known) {
  const whole = { ...known.fields(`${kind}/${record}`), ...fields };
  if (whole.car) return whole.car;
  const named = Object.entries(whole).map(([name, id]) => known.fields(`${name}/${id}`).car);
  return named.find(Boolean) ?? null;
}
