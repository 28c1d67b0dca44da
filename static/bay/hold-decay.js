// A hold test reckoned on the phone: as app/workings/decay.py, hold_test.py and hold_picture.py do, where the formulas are
// explained. Pressures in kPa away from the air around; what counts as time are time constants.

const GAMMA = 1.4;
const K = (GAMMA - 1) / GAMMA;
const GAS_CONSTANT = 287.05287;
const KELVIN = 273.15;
const SHARP_EDGE = 0.61;
const CRITICAL = (2 / (GAMMA + 1)) ** (GAMMA / (GAMMA - 1));
const CHOKED = Math.sqrt(GAMMA) * (2 / (GAMMA + 1)) ** ((GAMMA + 1) / (2 * (GAMMA - 1)));
const ROOT = Math.sqrt(2 / K);
const KNEE = 1 / CRITICAL;
const STEPS = 60;
const USUAL_C = 20;
const WHOLE = 0.95;
const ROUNDING = 1e-9;
const [LEFT, RIGHT, TOP, BOTTOM] = [50, 350, 12, 168];
const POINTS = 40;
const ROOM = 1.3;

const between = (value, low, high) => Math.min(Math.max(value, low), high);
const missing = (ratio) => Math.sqrt(Math.max(0, 1 - ratio ** K));
const excess = (ratio) => Math.sqrt(Math.max(0, ratio ** K - 1));
const rest = (u) => u + (2 * u ** 3) / 3 + u ** 5 / 5;

function flowFunction(ratio) {
  if (ratio <= CRITICAL) return CHOKED;
  return Math.sqrt((2 / K) * (ratio ** (2 / GAMMA) - ratio ** ((GAMMA + 1) / GAMMA)));
}

function restFast(ratio) {
  const s = Math.acosh(Math.max(1, Math.sqrt(ratio ** K)));
  return 2 * ((3 * s) / 8 + Math.sinh(2 * s) / 4 + Math.sinh(4 * s) / 32);
}

/** How many time constants it takes from one ratio (inside over around) to another. */
export function constantsBetween(start, end, { fast = false } = {}) {
  if (start <= 1) {
    const choked = Math.max(0, Math.min(end, CRITICAL) - start) / CHOKED;
    const slow = choked + ROOT * Math.max(0, missing(Math.max(start, CRITICAL)) - missing(Math.max(end, CRITICAL)));
    return fast ? slow / GAMMA : slow;
  }
  if (!fast) {
    const choked = start > KNEE ? Math.log(start / Math.max(end, KNEE)) / CHOKED : 0;
    return choked + ROOT * Math.max(0, rest(excess(Math.min(start, KNEE))) - rest(excess(Math.min(end, KNEE))));
  }
  const choked = start > KNEE ? (2 / ((GAMMA - 1) * CHOKED)) * ((Math.max(end, KNEE) / start) ** (-K / 2) - 1) : 0;
  const left = restFast(Math.min(start, KNEE)) - restFast(Math.min(end, KNEE));
  return choked + ((start ** (K / 2) * ROOT) / 2 / GAMMA) * Math.max(0, left);
}

/** The ratio after so many time constants. */
export function ratioAfter(start, constants) {
  if (constants >= constantsBetween(start, 1)) return 1;
  return start <= 1 ? Math.max(start, filled(start, constants)) : Math.min(start, emptied(start, constants));
}

function filled(start, constants) {
  const choked = Math.max(0, CRITICAL - start) / CHOKED;
  if (constants <= choked) return start + CHOKED * constants;
  const left = missing(Math.max(start, CRITICAL)) - (constants - choked) / ROOT;
  return (1 - Math.max(0, left) ** 2) ** (1 / K);
}

function emptied(start, constants) {
  const choked = start > KNEE ? Math.log(start / KNEE) / CHOKED : 0;
  if (constants <= choked) return start * Math.exp(-CHOKED * constants);
  let u = excess(Math.min(start, KNEE));
  const wanted = rest(u) - (constants - choked) / ROOT;
  for (let n = 0; n < STEPS; n += 1) u -= (rest(u) - wanted) / (1 + u * u) ** 2;
  return (1 + Math.max(0, u) ** 2) ** (1 / K);
}

function fittedRate(start, readings) {
  const told = readings.map(([seconds, ratio]) => {
    const slope = ratio <= 1 ? flowFunction(ratio) : ratio * flowFunction(1 / ratio);
    return { seconds, constants: constantsBetween(start, ratio), weight: slope ** 2 };
  });
  const sum = (each) => told.reduce((total, one) => total + each(one), 0);
  const weight = sum((one) => one.seconds ** 2 * one.weight);
  if (weight === 0) return told[0].constants / told[0].seconds;
  return sum((one) => one.seconds * one.constants * one.weight) / weight;
}

const absolute = (test, kpa) => test.around + (test.vacuum ? -kpa : kpa);
const away = (test, kpa) => (test.vacuum ? test.around - kpa : kpa - test.around);
const startRatio = (test) => absolute(test, test.start) / test.around;
const cooled = (kpa, fromC, toC) => (kpa * (toC + KELVIN)) / (fromC + KELVIN);
const isCooling = (test) => test.startC !== null && test.endC !== null;

// The readings as they would be had the air kept the temperature of the start.
function levelled(test) {
  if (!isCooling(test) || test.readings.length === 0) return test.readings;
  const whole = test.readings.at(-1)[0];
  return test.readings.map(([seconds, kpa]) => {
    const nowC = test.startC + ((test.endC - test.startC) * seconds) / whole;
    return [seconds, away(test, cooled(absolute(test, kpa), nowC, test.startC))];
  });
}

const kpaAfter = (test, rate, seconds) => away(test, ratioAfter(startRatio(test), rate * seconds) * test.around);

/** What is wrong with a test, in a sentence; null if it can be judged. */
export function wrongWith(test) {
  if (!(test.start > 0)) return "A hold test starts away from the pressure around it.";
  if (test.vacuum && test.start >= test.around) return "That is more vacuum than the air around the car allows.";
  if (test.readings.some(([, kpa]) => !(kpa >= 0))) return "Write what the gauge shows as a positive figure.";
  if (!(test.limit > 0 && test.limit < test.start && test.limitS > 0)) {
    return "What may be lost is more than nothing and less than the start, in a time above nothing.";
  }
  return null;
}

/**
 * What a test says: {lost, cooling, leaked, rate, atLimit, passed, hole, fast}; of `test`, {vacuum, around, start,
 * readings: [[seconds, kpa]], limit, limitS, startC, endC, volume}, what is not known is null. It has a reading.
 */
export function judge(test) {
  const inside = levelled(test).map(([seconds, kpa]) => [seconds, between(kpa, 0, test.start)]);
  const [seconds, end] = inside.at(-1);
  const ratios = inside.map(([at, kpa]) => [at, absolute(test, kpa) / test.around]);
  const begun = startRatio(test);
  const rate = fittedRate(begun, ratios);
  const atLimit = test.start - kpaAfter(test, rate, test.limitS);
  const holds = atLimit <= test.limit * (1 + ROUNDING);
  return {
    lost: test.start - test.readings.at(-1)[1],
    cooling: isCooling(test) ? test.start - away(test, cooled(absolute(test, test.start), test.startC, test.endC)) : 0,
    leaked: test.start - end,
    rate,
    atLimit,
    passed: holds && seconds < test.limitS * WHOLE ? null : holds,
    ...holes(test, rate, begun, ratios.at(-1)[1]),
  };
}

function holes(test, rate, begun, end) {
  if (test.volume === null) return { hole: null, fast: null };
  const kelvin = (test.startC ?? USUAL_C) + KELVIN;
  const area = (rate * test.volume * 1e-6) / (SHARP_EDGE * Math.sqrt(GAS_CONSTANT * kelvin));
  const hole = Math.sqrt((4 / Math.PI) * area) * 1e3;
  const slow = constantsBetween(begun, end);
  return { hole, fast: slow > 0 ? hole * Math.sqrt(constantsBetween(begun, end, { fast: true }) / slow) : hole };
}

/** The picture: {limit, fit, dots, low, high, last}, points as SVG has them; `judged` is null before a reading. */
export function picture(test, judged, elapsed = 0) {
  const readings = levelled(test);
  const last = Math.max(test.limitS, elapsed, ...readings.map(([seconds]) => seconds));
  const deepest = Math.max(test.limit, ...readings.map(([, kpa]) => test.start - kpa));
  const [high, low] = [test.start, Math.max(0, test.start - ROOM * deepest)];
  const place = (seconds, kpa) => [
    LEFT + ((RIGHT - LEFT) * seconds) / last,
    TOP + ((BOTTOM - TOP) * (high - between(kpa, low, high))) / (high - low),
  ];
  const curve = (rate) => {
    const moments = Array.from({ length: POINTS + 1 }, (_, n) => (last * n) / POINTS);
    return moments.map((at) => place(at, kpaAfter(test, rate, at)).map((one) => one.toFixed(1)).join(",")).join(" ");
  };
  const just = constantsBetween(startRatio(test), absolute(test, test.start - test.limit) / test.around) / test.limitS;
  const dots = [[0, test.start], ...readings].map(([seconds, kpa]) => place(seconds, kpa));
  return { limit: curve(just), fit: judged ? curve(judged.rate) : "", dots, low, high, last, now: place(elapsed, high)[0] };
}
