// Whether a barometer's figure is a weather report's: reduced to sea level, which high up is far from the air the car
// breathes (app/pages/doubts.py asks the same of a form sent without scripts; the arithmetic is app/workings/atmosphere.py's).

import { figure } from "./words.js";

/**
 * The questions to ask about a box's figure, {"?key": question}; where it was said to be a report's, it becomes the air's.
 * `data-ask-air` holds the numbers of the standard atmosphere and of weather,
 * `data-ask-height` names the box of the height in metres, `data-ask-unit` that of the unit, its options' data-times kPa.
 */
export function barometerDoubt(control, form) {
  const { standard, lapse, exponent, weather } = JSON.parse(control.dataset.askAir);
  const unit = form.elements.namedItem(control.dataset.askUnit).selectedOptions[0];
  const high = form.elements.namedItem(control.dataset.askHeight).value.trim();
  const [height, one] = [figure(high), Number(unit.dataset.times)];
  const kpa = figure(control.value.trim()) * one;
  if (high === "" || unit.value === "" || !Number.isFinite(height) || !(kpa > 0)) return null;
  const n = 1 / exponent;
  const atSea = (kpa ** n + standard ** n * lapse * height) ** exponent;
  const isWeather = (pressure) => pressure >= weather[0] && pressure <= weather[1];
  if (isWeather(atSea) || !isWeather(kpa)) return null;
  const four = (pressure) => String(Number((pressure / one).toPrecision(4)));
  const own = four((kpa ** n - standard ** n * lapse * height) ** exponent);
  const key = `${control.dataset.ask}.report`;
  if (form.querySelector(`[name="sure"][value="${key}"]:checked`)) {
    control.value = own;
    return null;
  }
  const right =
    `${control.value} ${unit.value} is what a weather report says, reduced to sea level. At ${height.toFixed(0)} m the air ` +
    `itself is at about ${four(standard * (1 - lapse * height) ** exponent)} ${unit.value}. Is it right all the same?`;
  const report = `It is a weather report's: keep ${own} ${unit.value}, the air's own at ${height.toFixed(0)} m.`;
  return { [`?${control.dataset.ask}`]: right, [`?${key}`]: report };
}
