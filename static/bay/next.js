// What to do next, from plain numbers: the question or check that tells most a minute, or the order that finds it
// soonest. The same arithmetic as app/triage/next_step.py and order.py, where its sources are named.

/** Steps, best first: {sign, minutes, gain} to ask, or {candidate, sheet, minutes, gain} to check (places in the model). */
export function nextSteps(model, table, chances, evidence) {
  const mass = new Array(model.kinds).fill(0);
  chances.forEach((p, place) => (mass[model.candidates[place].kind] += p));
  const asks = asksOf(model, table, mass, evidence);
  const checks = checksOf(model, chances, evidence);
  if (asks.length === 0) return soonestFound(model, checks, chances);
  return [...asks, ...checks].toSorted((a, b) => b.gain / b.minutes - a.gain / a.minutes);
}

function asksOf(model, table, mass, { signs, codes }) {
  const open = Object.entries(model.signs).filter(([key, sign]) => (sign.apart ? codes === null : !(key in signs) && !sign.unasked));
  return open
    .map(([key, sign]) => ({ sign: key, minutes: sign.minutes, gain: signGain(table[key], mass) }))
    .filter(({ gain }) => gain >= model.limits.ask);
}

function signGain({ asked, entropy }, mass) {
  const expected = new Array(asked[0].length).fill(0);
  let within = 0;
  mass.forEach((share, kind) => {
    within += share * entropy[kind];
    asked[kind].forEach((p, place) => (expected[place] += share * p));
  });
  return Math.max(-expected.reduce((total, p) => total + p * Math.log2(p), 0) - within, 0);
}

function checksOf(model, chances, { checks }) {
  const made = new Set(checks.map(({ candidate, sheet }) => `${candidate} ${model.checks[sheet].method}`));
  const leading = chances.map((p, candidate) => ({ p, candidate })).toSorted((a, b) => b.p - a.p);
  return leading.slice(0, model.limits.leading).flatMap(({ p, candidate }) => {
    const { checks: suited = [], access = 0, place } = model.candidates[candidate];
    const open = suited.filter((sheet) => !made.has(`${candidate} ${model.checks[sheet].method}`));
    if (p < model.limits.check || open.length === 0) return [];
    const worth = (sheet) => checkGain(p, model.checks[sheet]) / model.checks[sheet].minutes;
    const sheet = open.reduce((best, each) => (worth(each) > worth(best) ? each : best));
    const { minutes, hit } = model.checks[sheet];
    const job = { p: p * hit, minutes, place, opening: access };
    return [{ candidate, sheet, minutes: minutes + access, gain: checkGain(p, model.checks[sheet]), job }];
  });
}

function checkGain(p, { hit, alarm }) {
  const shows = p * hit + (1 - p) * alarm;
  return Math.max(binary(shows) - p * binary(hit) - (1 - p) * binary(alarm), 0);
}

function binary(p) {
  return p <= 0 || p >= 1 ? 0 : -p * Math.log2(p) - (1 - p) * Math.log2(1 - p);
}

function soonestFound(model, checks, chances) {
  const covered = checks.reduce((total, { candidate }) => total + chances[candidate], 0);
  const byRatio = checks.toSorted((a, b) => b.job.p / whole(b.job) - a.job.p / whole(a.job));
  const leading = byRatio.slice(0, model.limits.searched);
  const rest = byRatio.slice(model.limits.searched);
  const lastKnown = covered >= model.limits.blame && rest.length === 0;
  return [...searched(leading.map(({ job }) => job), lastKnown).map((place) => leading[place]), ...rest];
}

const whole = ({ minutes, opening }) => Math.max(minutes + opening, 1e-9);

// Over which are done already, not in what order: what is left to pay depends on the set alone.
function searched(jobs, lastKnown) {
  const full = (1 << jobs.length) - 1;
  const best = new Array(full + 1);
  best[full] = { cost: 0, order: [] };
  for (let done = full - 1; done >= 0; done -= 1) {
    const within = jobs.filter((_, place) => (done >> place) & 1);
    const left = 1 - within.reduce((total, { p }) => total + p, 0);
    const opened = new Set(within.map(({ place }) => place));
    best[done] = jobs
      .map((job, place) => {
        if ((done >> place) & 1) return null;
        const after = best[done | (1 << place)];
        const known = lastKnown && (done | (1 << place)) === full;
        const opening = job.place && opened.has(job.place) ? 0 : job.opening;
        return { cost: (known ? 0 : left * (job.minutes + opening)) + after.cost, order: [place, ...after.order] };
      })
      .filter(Boolean)
      .reduce((least, each) => (each.cost < least.cost ? each : least));
  }
  return best[0].order;
}
