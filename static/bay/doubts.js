// Which two things seen seldom go together, and which of them to look at again (app/triage/contradictions.py).

/** Pairs, worst first: {first, second, again} as they stand in `seen`. `mass`: each kind's share before any was seen. */
export function doubts(model, table, seen, mass) {
  const certain = mass.map((share, kind) => ({ share, kind })).filter(({ kind }) => !model.vague.includes(kind));
  const chance = (kind, observed) => observed.reduce((product, { sign, place }) => product * table[sign].chance[kind][place], 1);
  const shares = certain.reduce((total, { share }) => total + share, 0);
  const total = (observed) => certain.reduce((so, { share, kind }) => so + share * chance(kind, observed), 0) / shares;
  const fit = (one) => total(seen) / (total(seen.filter((each) => each !== one)) * total([one]));
  const explained = (pair) => certain.some(({ kind }) => Math.min(...pair.map((each) => chance(kind, [each]))) >= model.limits.explained);
  const found = [];
  pairs(seen).forEach(([first, second]) => {
    if (model.signs[first.sign].apart || model.signs[second.sign].apart || (first.place === 0 && second.place === 0)) return;
    const lift = total([first, second]) / (total([first]) * total([second]));
    if (lift >= model.limits.seldom || explained([first, second])) return;
    found.push({ lift, first, second, again: fit(first) <= fit(second) ? first : second });
  });
  return found.toSorted((a, b) => a.lift - b.lift).slice(0, model.limits.doubts);
}

function pairs(all) {
  return all.flatMap((first, n) => all.slice(n + 1).map((second) => [first, second]));
}
