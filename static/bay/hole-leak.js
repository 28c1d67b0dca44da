// How big a leak is: as app/workings/leak_size.py and leak_hold.py, which say what is balanced and where it is from.
//
// A figure is [value, how far off it may be]; a gauge [value, how far off, what it counts from: 1, -1 or 0], in kPa.

/** The figures can't tell it; `message` says why. */
export class Untold extends Error {}

const STEPS = 48;
const absolute = (sign, shown, air) => (sign ? air + sign * shown : shown);
const ends = ([value, within]) => (within ? [value - within, value + within] : [value]);

/** What the ways below are worked out with: constants of air, the sentences, and the limits of time. */
export function leaks({ gas, says, hold }) {
  const { gamma, r, kelvin, edge, critical } = gas;
  const k = (gamma - 1) / gamma;
  const choked = Math.sqrt(gamma) * (2 / (gamma + 1)) ** ((gamma + 1) / (2 * (gamma - 1)));
  const psi = (ratio) => (ratio <= critical ? choked : Math.sqrt((2 / k) * (ratio ** (2 / gamma) - ratio ** ((gamma + 1) / gamma))));
  const untold = (key) => {
    throw new Untold(says[key]);
  };

  function holeFor(flow, before, behind, celsius) {
    if (before <= behind) untold("air_off");
    const flux = ((edge * before * 1e3) / Math.sqrt(r * (celsius + kelvin))) * psi(Math.max(behind, 0) / before);
    return Math.sqrt(((4 / Math.PI) * Math.max(flow, 0) * 1e-3) / flux) * 1e3;
  }

  const swallowed = (litres, filling, rpm, kpa, celsius) => (((filling * litres * rpm) / 120) * kpa * 1e3) / (r * (celsius + kelvin));

  function byTrims({ airflow, short, long, usual, manifold, air, temp }) {
    const figures = [airflow, short, long, usual, air, temp, ...(manifold ? [manifold] : [])];
    return spreadOver(figures, (counted, first, second, normal, around, celsius, shown = 0) => {
      const behind = manifold ? absolute(manifold[2], shown, around) : 0;
      const factors = ((1 + first / 100) * (1 + second / 100)) / (1 + normal / 100) - 1;
      return [counted * factors, (counted * (first + second - normal)) / 100].map((flow) => [flow, holeFor(flow, around, behind, celsius)]);
    });
  }

  function byIdleVacuum({ usual, now, speed, usualSpeed, healthy, engine, air, temp }) {
    const own = healthy ? [healthy] : engine;
    const figures = [usual, now, speed, air, temp, ...own, ...(usualSpeed ? [usualSpeed] : [])];
    return spreadOver(figures, (before, after, turns, around, celsius, ...rest) => {
      const [then, since] = [absolute(usual[2], before, around), absolute(now[2], after, around)];
      if (then <= 0 || since >= around || then >= around) untold("idle_off");
      const turned = rest[own.length] ?? turns;
      const each = healthy ? rest[0] / (then * turned) : swallowed(rest[0], rest[1], 1, 1, rest[2]);
      const leak = each * (since * turns - (then * turned * psi(Math.max(since, 0) / around)) / psi(then / around));
      return [[leak, holeFor(leak, around, since, celsius)]];
    });
  }

  function byBoost({ target, reached, speed, engine, metered, air }) {
    const figures = [target, reached, speed, air, ...engine, ...(metered ? [metered] : [])];
    return spreadOver(figures, (wanted, got, turns, around, litres, filling, celsius, counted) => {
      const [aim, boost] = [absolute(target[2], wanted, around), absolute(reached[2], got, around)];
      const leak = (counted ?? swallowed(litres, filling, turns, aim, celsius)) - swallowed(litres, filling, turns, boost, celsius);
      return [[leak, holeFor(leak, boost, around, celsius)]];
    });
  }

  // The integral of dp over what goes through the hole at p, by the root of the distance to the air around.
  function over(start, end, around, cools = 0) {
    if ((end - around) * (start - around) <= 0) untold("at_air");
    const side = start > around ? 1 : -1;
    const [first, last] = [Math.sqrt(side * (start - around)), Math.sqrt(side * (end - around))];
    let total = 0;
    for (let step = 0; step < STEPS; step += 1) {
      const root = first + ((last - first) * (step + 0.5)) / STEPS;
      const p = around + side * root * root;
      const [before, behind] = side > 0 ? [p, around] : [around, p];
      total += (2 * root) / (before * psi(behind / before) * (p / start) ** (cools / 2));
    }
    return (Math.abs(last - first) / STEPS) * total;
  }

  const diameter = (effective) => Math.sqrt(((4 / Math.PI) * effective * 1e-3 * 1e6) / edge);

  function isothermal(volume, start, end, took, around, warm) {
    const gained = ((volume * (end - start)) / (r * warm)) * 1e3;
    const flow = (start < around ? gained : -gained) / took;
    return flow <= 0 ? [flow, 0] : [flow, diameter(((volume / Math.sqrt(r * warm)) * over(start, end, around)) / took)];
  }

  function adiabatic(volume, start, end, took, around, warm) {
    if (start < around) {
      const [flow, hole] = isothermal(volume, start, end, took, around, warm);
      return [flow / gamma, hole / Math.sqrt(gamma)];
    }
    const flow = (((volume * start) / (r * warm)) * (1 - (end / start) ** (1 / gamma)) * 1e3) / took;
    return flow <= 0 ? [flow, 0] : [flow, diameter(((volume / (gamma * Math.sqrt(r * warm))) * over(start, end, around, k)) / took)];
  }

  function byHold({ volume, before, after, took, air, start, rise }) {
    const fills = absolute(before[2], before[0], air[0]) < air[0];
    const [adiabaticUpTo, isothermalFrom] = hold;
    return spreadOver([volume, before, after, took, air, start, rise], (litres, shown, later, seconds, around, celsius, warmer) => {
      const [first, last] = [absolute(before[2], shown, around), absolute(after[2], later, around)];
      const warm = celsius + kelvin;
      if (first < around !== fills || first <= 0 || last <= 0 || seconds <= 0 || warm + warmer <= 0) untold("near");
      const slow = isothermal(litres, first, (last * warm) / (warm + warmer), seconds, around, warm);
      if (took[0] >= isothermalFrom) return [slow];
      const fast = adiabatic(litres, first, last, seconds, around, warm);
      if (took[0] <= adiabaticUpTo) return [fast, slow];
      return [[(slow[0] + fast[0]) / 2, (slow[1] + fast[1]) / 2], slow, fast];
    });
  }

  return { byTrims, byIdleVacuum, byBoost, byHold };
}

// The leak over all that the figures may have been: {flow: [low, value, high], hole: [low, value, high]}.
function spreadOver(figures, workedOut) {
  const [told, ...found] = workedOut(...figures.map(([value]) => value));
  const each = (place, chosen) => {
    if (place === figures.length) found.push(...workedOut(...chosen));
    else for (const end of ends(figures[place])) each(place + 1, [...chosen, end]);
  };
  each(0, []);
  const [flows, holes] = [0, 1].map((at) => [told, ...found].map((one) => one[at]));
  const span = (all) => [Math.min(...all), all[0], Math.max(...all)];
  return { flow: span(flows), hole: span(holes) };
}
