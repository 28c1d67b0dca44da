// What a ticket's page says of its signs, and what speaks against driving, in the model's own words.

import { plain } from "./holds.js";
import { number } from "./words.js";

const part = (element, name) => element.querySelector(`[data-part="${name}"]`);

/** Write every sign's answer, how its figure was judged, and which of its buttons says what stands. */
export function tellSigns({ model, known }, { noted, signs, codes, repaired }) {
  for (const row of document.querySelectorAll("[data-sign]")) {
    const key = row.dataset.sign;
    const reading = known.fields(`reading/${noted[key]?.reading}`);
    const isRead = plain(reading.value) !== "";
    const now = model.answers[key]?.[signs[key]] ?? (key === "codes" ? codesOf(codes) : undefined);
    const before = repaired && (model.answers[key]?.[repaired.signs[key]] ?? (key === "codes" ? codesOf(repaired.codes) : undefined));
    part(row, "answer").textContent = answerOf(noted[key], now, before, isRead);
    part(row, "told").hidden = !isRead;
    part(row, "told").textContent = isRead ? told(model, key, signs[key], reading) : "";
  }
  for (const button of document.querySelectorAll('form[data-kind="sign"] button[name="outcome"]')) {
    const key = button.form.elements.namedItem("sign").value;
    const chosen = key === "codes" ? plain(noted.codes?.outcome) : signs[key] ?? "";
    const isRead = Boolean(plain(noted[key]?.reading));
    button.setAttribute("aria-pressed", String(key in noted && button.value === chosen && (chosen !== "" || !isRead)));
  }
}

const codesOf = (codes) => codes?.join(" ") ?? undefined;

function answerOf(noted, label, before, isRead) {
  if (label !== undefined) return label || "None stored";
  if (isRead) return "A reading, not judged yet";
  if (noted) return "Can't tell";
  return before === null || before === undefined ? "Not looked at" : `Before the repair: ${before || "None stored"}`;
}

function told(model, key, outcome, { what, value, unit }) {
  const { held, unjudged } = model.readings[what];
  const phrase = outcome && model.signs[key]?.phrases[model.signs[key].outcomes.indexOf(outcome)];
  const figure = `${number(value)} ${unit}`;
  return phrase ? `${figure}, held to ${held}: ${phrase}.` : `${figure} ${unjudged}`;
}

/** Say what speaks against driving, or against full throttle; the answer is the reason not to drive, or nothing. */
export function tellDangers({ model, known, ticket, stands }, suspects, { signs: since, repaired }) {
  const signs = { ...repaired?.signs, ...since };
  const { seen, suspected, from, found } = model.dangers;
  const says = { drive: "", throttle: "" };
  if (stands === "found") says.drive = found[known.fields(`ticket/${ticket}`).found_line] ?? "";
  for (const [kind, sign, outcome, states, words] of seen) {
    if (states.includes(stands) && signs[sign] === outcome) says[kind] ||= words;
  }
  if (stands === "open" && !says.drive) {
    const shares = {};
    for (const { place, chance } of suspects) {
      const { role } = model.candidates[place];
      shares[role] = (shares[role] ?? 0) + chance;
    }
    const worst = Object.keys(suspected).filter((role) => shares[role] >= from).sort((a, b) => shares[b] - shares[a]);
    says.drive = suspected[worst[0]] ?? "";
  }
  for (const [kind, id] of [["drive", "do-not-drive"], ["throttle", "off-throttle"]]) {
    document.getElementById(id).hidden = says[kind] === "";
    document.getElementById(id).querySelector("span").textContent = says[kind];
  }
  return says.drive;
}
