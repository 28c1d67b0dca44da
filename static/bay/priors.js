// How likely each candidate is before anything was seen, from plain numbers: what touches add (app/triage/touches.py).

// Half way lies the even number, as where the model comes from.
const even = (value) => (Math.abs(value % 1) === 0.5 ? 2 * Math.round(value / 2) : Math.round(value)) + 0;

/**
 * Each candidate's weight, what it would be untouched, and the factors behind it: [{weight, untouched, factors}].
 * `patched`: a Set of the places a stopgap holds, where that is not as the model has it.
 */
export function priorsOf(model, touches, patched) {
  const [times, says] = model.patched;
  const priors = model.candidates.map((one, place) => {
    const factors = (one.why ?? []).map(([by, reason]) => ({ kind: "prior", by, reason }));
    const isPatched = patched ? patched.has(place) : one.patched;
    if (isPatched) factors.push({ kind: "prior", by: times, reason: says });
    const weight = isPatched ? one.prior * times : one.prior;
    return { weight, untouched: weight, factors };
  });
  for (const touch of touches) {
    const prior = priors[touch[0]];
    const { adds, says } = touchOf(model, touch);
    if (adds <= 0) continue;
    prior.factors.push({ kind: "touch", by: (prior.weight + adds) / prior.weight, reason: says });
    prior.weight += adds;
  }
  return priors;
}

function touchOf({ touch: rules, candidates }, [place, how, days, km, degrees, isChecked]) {
  const { material, age = 1, ready = 1 } = candidates[place];
  const kind = rules.how[how];
  const [leaned, pulled, doubles, label] = rules.materials[material] ?? [1, 1, rules.cold_doubles, ""];
  const past = (figure) => Math.max(figure ?? 0, 0);
  const fresh = days === null && km === null ? rules.unknown : (1 / (1 + past(days) / rules.half_days)) * (1 / (1 + past(km) / rules.half_km));
  const below = degrees === null ? 0 : Math.min(Math.max(rules.cold_below - degrees, 0), rules.cold_at_most);
  const brittle = (kind.leans ? leaned : pulled) * (1 + below / doubles) * (kind.renews ? 1 : age);
  const adds = kind.adds * ready * fresh * brittle * (isChecked ? rules.checked : 1);
  const [sameDay, day, everyDay, far, cold, looked] = rules.says;
  const when = days === null ? "" : ` ${[sameDay, day][even(days)] ?? everyDay.replace("{}", even(days))}`;
  const words = [kind.says + when];
  if (km !== null) words.push(far.replace("{}", even(km)));
  if (below > 0) words.push(cold.replace("{}", even(degrees)));
  if (label) words.push(label);
  if (isChecked) words.push(looked);
  return { adds, says: words.join(", ") };
}
