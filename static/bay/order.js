// In which order to make checks, for the least expected minutes to the culprit, and how many those are
// (app/triage/order.py and minutes_left.py, where the sources are named).

/** Minutes from one state of the engine to another, both by their place in `needed`; nothing where either is not said. */
export function readyFor({ needed }, engine, state) {
  return engine < 0 || state < 0 ? 0 : needed.ready[engine][state];
}

const after = ({ needed }, engine, state) => (engine < 0 || state < 0 ? engine : needed.after[state]);

/** The checks in the order that finds it soonest. `lastKnown`: the last one is not made, by then it can only be that. */
export function soonestFound(checks, at) {
  const [leading, rest] = leadingFirst(checks, at);
  const ends = new Array(1 << leading.length).fill(Infinity);
  const full = ends.length - 1;
  ends[full] = 0;
  if (at.lastKnown && rest.length === 0) leading.forEach((_, n) => (ends[full & ~(1 << n)] = 0));
  const { order } = leastMinutes(leading, ends, at);
  const unneeded = [...leading.keys()].filter((n) => !order.includes(n));
  return [...[...order, ...unneeded].map((n) => leading[n]), ...rest];
}

/**
 * Expected minutes until the culprit is known. Where going on costs more than it saves, the plan goes for the likeliest
 * that is left; `unchecked` is the likeliest of those that no check is about.
 */
export function minutesLeft(checks, at) {
  const [leading, rest] = leadingFirst(checks, at);
  const whole = ({ finds }) => finds.p + finds.missed;
  let left = [1];
  let likeliest = [Math.max(at.unchecked, ...rest.map(whole))];
  for (const one of leading) {
    left = [...left, ...left.map((each) => each - one.finds.p)];
    likeliest = [...likeliest.map((each) => Math.max(each, whole(one))), ...likeliest.map((each) => Math.max(each, one.finds.missed))];
  }
  return leastMinutes(leading, left.map((p, done) => at.limits.search * Math.max(p - likeliest[done], 0)), at).cost;
}

// By probability over all the minutes each takes by itself from now; as many as are searched, and the rest.
function leadingFirst(checks, at) {
  const ratio = ({ finds, own, opening, state }) => finds.p / Math.max(own + opening + readyFor(at, at.engine, state), 1e-9);
  const sorted = checks.toSorted((a, b) => ratio(b) - ratio(a));
  return [sorted.slice(0, at.limits.searched), sorted.slice(at.limits.searched)];
}

// Over which are done already and how the last of them left the engine, not in what order: what is left to pay depends
// on these alone. `ends[done]` is what it costs to break off there.
function leastMinutes(checks, ends, at) {
  const engines = [...new Set([at.engine, ...checks.map(({ state }) => after(at, at.engine, state))])];
  const ready = engines.map((now) => checks.map(({ state }) => readyFor(at, now, state)));
  const then = engines.map((now) => checks.map(({ state }) => engines.indexOf(after(at, now, state))));
  const { left, unopened } = bySet(checks);
  const cost = engines.map(() => new Float64Array(ends.length));
  const choice = engines.map(() => new Int8Array(ends.length));
  for (let done = ends.length - 1; done >= 0; done -= 1) {
    for (let now = 0; now < engines.length; now += 1) {
      let best = ends[done];
      let chosen = -1;
      for (let n = 0; n < checks.length; n += 1) {
        if ((done >> n) & 1) continue;
        const whole = left[done] * (unopened(n, done) + ready[now][n]) + cost[then[now][n]][done | (1 << n)];
        if (whole < best) [best, chosen] = [whole, n];
      }
      cost[now][done] = best;
      choice[now][done] = chosen;
    }
  }
  const order = [];
  for (let now = 0, done = 0, n = choice[0][0]; n >= 0; n = choice[now][done]) {
    order.push(n);
    [now, done] = [then[now][n], done | (1 << n)];
  }
  return { cost: cost[0][0], order };
}

// For each set of checks done: the probability left, and a check's minutes with what is still to be opened for it.
function bySet(checks) {
  const places = [...new Set(checks.map(({ place }) => place))];
  const bit = checks.map(({ place }) => (place === null ? 0 : 1 << places.indexOf(place)));
  const left = new Float64Array(1 << checks.length);
  const opened = new Int32Array(left.length);
  left[0] = 1;
  checks.forEach(({ finds }, n) => {
    for (let done = 0; done < 1 << n; done += 1) {
      left[done | (1 << n)] = left[done] - finds.p;
      opened[done | (1 << n)] = opened[done] | bit[n];
    }
  });
  const alone = checks.map(({ own, opening }) => own + opening);
  return { left, unopened: (n, done) => (opened[done] & bit[n] ? checks[n].own : alone[n]) };
}
