// Which two things seen seldom go together, and which of them to look at again (app/triage/contradictions.py).

/** Pairs, worst first: {first, second, again} as they stand in `seen`. `mass`: each kind's share before any was seen. */
export function doubts(model, table, seen, mass) {
  const certain = [...mass.keys()].filter((kind) => mass[kind] > 0 && !model.vague.includes(kind));
  const all = certain.reduce((total, kind) => total + mass[kind], 0);
  const shares = certain.map((kind) => mass[kind] / all);
  const chances = seen.map(({ sign, place }) => certain.map((kind) => table[sign].chance[kind][place]));
  const total = (...observed) => shares.reduce((so, share, n) => so + observed.reduce((product, one) => product * one[n], share), 0);
  const alone = chances.map((each) => total(each));
  const explained = (a, b) => chances[a].some((p, n) => Math.min(p, chances[b][n]) >= model.limits.explained);
  const found = [];
  for (const [a, b] of pairs(seen)) {
    if (model.signs[seen[a].sign].apart || model.signs[seen[b].sign].apart || (seen[a].place === 0 && seen[b].place === 0)) continue;
    const lift = total(chances[a], chances[b]) / (alone[a] * alone[b]);
    if (lift < model.limits.seldom && !explained(a, b)) found.push({ lift, a, b });
  }
  const fit = (one) => total(...chances) / (total(...chances.filter((each) => each !== chances[one])) * alone[one]);
  return found
    .sort((one, other) => one.lift - other.lift)
    .slice(0, model.limits.doubts)
    .map(({ a, b }) => ({ first: seen[a], second: seen[b], again: seen[fit(a) <= fit(b) ? a : b] }));
}

function pairs(all) {
  return all.flatMap((_, a) => all.slice(a + 1).map((__, n) => [a, a + 1 + n]));
}
