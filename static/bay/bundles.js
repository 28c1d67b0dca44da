// Which steps are worth doing together: what they share, a place to open or a state to get to, is paid once
// (app/triage/bundles.py).

/** The steps by what they tell a minute, those that are worth more together standing together. */
export function mostAMinute(steps) {
  const single = steps.map((step, n) => ({ gain: step.gain, minutes: step.own + (step.place === null ? step.opening : 0), steps: [n] }));
  const firstOf = (bundle) => steps[bundle.steps[0]];
  const inPlaces = grouped(single, (bundle) => `${stateOf(firstOf(bundle))} ${firstOf(bundle).place ?? ""}`).flatMap((those) =>
    together(those, firstOf(those[0]).place === null ? 0 : firstOf(those[0]).opening),
  );
  const bundles = grouped(inPlaces, (bundle) => stateOf(firstOf(bundle))).flatMap((those) =>
    together(those, stateOf(firstOf(those[0])) < 0 ? 0 : firstOf(those[0]).ready),
  );
  return bestFirst(bundles).flatMap((bundle) => bundle.steps.map((n) => steps[n]));
}

/** Of each step's opening and getting ready, the minutes that those before it have paid: {opened, kept}. */
export function alreadyPaid(steps) {
  const opened = new Set();
  let last = -1;
  return steps.map(({ place, opening, state, ready }) => {
    const paid = { opened: opened.has(place) ? opening : 0, kept: state >= 0 && state === last ? ready : 0 };
    if (place !== null) opened.add(place);
    if (state >= 0) last = state;
    return paid;
  });
}

// A state that costs nothing to get to ties nothing together.
const stateOf = ({ state, ready }) => (ready > 0 ? state : -1);
const rate = ({ gain, minutes }) => gain / Math.max(minutes, 1e-9);
const bestFirst = (bundles) => bundles.toSorted((a, b) => rate(b) - rate(a) || Math.min(...a.steps) - Math.min(...b.steps));

function grouped(bundles, keyOf) {
  const groups = new Map();
  for (const bundle of bundles) {
    const key = keyOf(bundle);
    if (groups.has(key)) groups.get(key).push(bundle);
    else groups.set(key, [bundle]);
  }
  return [...groups.values()];
}

// As many as raise what the whole tells a minute, the shared minutes paid once; the others follow on their own.
function together(bundles, shared) {
  const sorted = bestFirst(bundles);
  if (shared <= 0) return sorted;
  const [first, ...others] = sorted;
  let whole = { ...first, minutes: first.minutes + shared };
  while (others.length > 0 && rate(others[0]) > rate(whole)) {
    const next = others.shift();
    whole = { gain: whole.gain + next.gain, minutes: whole.minutes + next.minutes, steps: [...whole.steps, ...next.steps] };
  }
  return [whole, ...others];
}
