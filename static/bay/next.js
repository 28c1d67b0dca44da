// What to do next, from plain numbers: the question or check that tells most a minute, or the order that finds it
// soonest. The same arithmetic as app/triage/next_step.py, where its sources are named.

import { alreadyPaid, mostAMinute } from "./bundles.js";
import { minutesLeft, readyFor, soonestFound } from "./order.js";

/**
 * {steps, minutesLeft}. Steps, best first: {sign} to ask or {candidate, sheet} to check (places in the model), each with
 * the `minutes` it takes from where things stand, `gain`, `needs`, `lacks`, its `state`, the `ready` minutes until the
 * engine is in it, and of all these the minutes that the steps before it have paid: its place being `opened`, and the
 * engine `kept` as it is.
 */
export function whatNext(model, table, chances, evidence) {
  const at = { needed: model.needed, engine: model.needed.engines.indexOf(evidence.engine), lacking: new Set(model.lacking) };
  const mass = new Array(model.kinds).fill(0);
  chances.forEach((p, place) => (mass[model.candidates[place].kind] += p));
  const leading = chances.map((p, candidate) => ({ p, candidate })).sort((a, b) => b.p - a.p).slice(0, model.limits.leading);
  const asks = asksOf(model, table, mass, evidence).map((ask) => stepOf(at, ask));
  const checks = checksOf(model, leading, evidence, at);
  const can = ({ lacks }) => lacks.length === 0;
  const possible = checks.filter(can);
  const among = new Set(possible.map(({ candidate }) => candidate));
  const asked = asks.filter(can);
  const lacking = [...asks, ...checks].filter((step) => !can(step)).sort((a, b) => b.gain / b.minutes - a.gain / a.minutes);
  const listed = [...(asked.length > 0 ? mostAMinute([...asked, ...possible]) : inOrder(model, possible, leading, at)), ...lacking];
  const paid = alreadyPaid(listed);
  const unchecked = leading.filter(({ candidate }) => !among.has(candidate) && !model.candidates[candidate].nothing);
  return {
    steps: listed.map((step, n) => ({ ...step, ...paid[n] })),
    minutesLeft: minutesLeft(possible, { ...at, limits: model.limits, unchecked: Math.max(0, ...unchecked.map(({ p }) => p)) }),
  };
}

function inOrder(model, possible, leading, at) {
  const among = new Set(possible.map(({ candidate }) => candidate));
  const covered = leading.reduce((total, { p, candidate }) => total + (among.has(candidate) ? p : 0), 0);
  return soonestFound(possible, { ...at, limits: model.limits, lastKnown: covered >= model.limits.blame });
}

// `own` minutes, those to open its `place`, and those until the engine is ready: all it takes from where things stand.
function stepOf(at, { needs, own, opening = 0, place = null, ...step }) {
  const state = stateFor(at, needs);
  const ready = readyFor(at, at.engine, state);
  const lacks = needs.filter((need) => at.lacking.has(need));
  return { ...step, needs, own, opening, place, state, ready, lacks, minutes: own + opening + ready };
}

const stateFor = ({ needed }, needs) => needed.states.findIndex((state) => needs.includes(state));

function asksOf(model, table, mass, { signs, codes }) {
  const open = Object.entries(model.signs).filter(([key, sign]) => (sign.apart ? codes === null : !(key in signs) && !sign.unasked));
  return open
    .map(([key, sign]) => ({ sign: key, own: sign.minutes, needs: sign.needs, gain: signGain(table[key], mass) }))
    .filter(({ gain }) => gain >= model.limits.ask);
}

function signGain({ asked, entropy }, mass) {
  const expected = new Array(asked[0].length).fill(0);
  let within = 0;
  mass.forEach((share, kind) => {
    within += share * entropy[kind];
    const row = asked[kind];
    for (let place = 0; place < row.length; place += 1) expected[place] += share * row[place];
  });
  return Math.max(-expected.reduce((total, p) => total + p * Math.log2(p), 0) - within, 0);
}

// The best check not yet made of each leading one, and a better one too if only something for it is lacking.
function checksOf(model, leading, { checks }, at) {
  const made = new Set(checks.map(({ candidate, sheet }) => `${candidate} ${model.checks[sheet].method}`));
  return leading.flatMap(({ p, candidate }) => {
    const { checks: suited = [], access = 0, place } = model.candidates[candidate];
    if (p < model.limits.check) return [];
    const rated = suited
      .filter((sheet) => !made.has(`${candidate} ${model.checks[sheet].method}`))
      .map((sheet) => {
        const { minutes, needs, hit } = model.checks[sheet];
        const gain = checkGain(p, model.checks[sheet]);
        const finds = { p: p * hit, missed: p * (1 - hit) };
        const step = stepOf(at, { candidate, sheet, gain, finds, needs, own: minutes, opening: access, place });
        // Its place has to be opened for any of them; getting the engine ready is of one and not of another.
        return { step, rate: gain / (minutes + step.ready) };
      });
    const best = (those) => those.reduce((most, each) => (each.rate > most.rate ? each : most)).step;
    const owned = rated.filter(({ step }) => step.lacks.length === 0);
    return [...new Set([owned, rated].filter((those) => those.length > 0).map(best))];
  });
}

function checkGain(p, { hit, alarm }) {
  const shows = p * hit + (1 - p) * alarm;
  return Math.max(binary(shows) - p * binary(hit) - (1 - p) * binary(alarm), 0);
}

function binary(p) {
  return p <= 0 || p >= 1 ? 0 : -p * Math.log2(p) - (1 - p) * Math.log2(1 - p);
}
