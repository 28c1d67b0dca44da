// The rows a page's model has of each sign, and what was seen as they read it.

const tables = new WeakMap();
const sum = (numbers) => numbers.reduce((total, each) => total + each, 0);

/** Each sign's rows written out once a page: chances, and what a question expects to hear. */
export function tableOf(model) {
  if (!tables.has(model)) tables.set(model, Object.fromEntries(Object.entries(model.signs).map(([key, sign]) => [key, rowsOf(model, sign)])));
  return tables.get(model);
}

function rowsOf(model, sign) {
  const rows = sign.rows.map(([digits]) => {
    const weights = [...digits].map((digit) => model.grades[digit][0]);
    const total = sum(weights);
    const asked = weights.map((weight) => weight / total);
    return { asked, chance: sign.apart ? weights : asked, entropy: -sum(asked.map((p) => p * Math.log2(p))) };
  });
  const each = (name) => sign.of.map((row) => rows[row][name]);
  return { asked: each("asked"), chance: each("chance"), entropy: each("entropy") };
}

/** How a reason goes on after what was seen, for the suspects of one kind. */
export function says(model, sign, place, kind) {
  const [digits, because] = model.signs[sign].rows[model.signs[sign].of[kind]];
  return `${model.grades[digits[place]][1]} so when this is at fault${because ? `; ${because}` : ""}`;
}

/** What of `signs` and `codes` the model can use: {seen: [{sign, place, says}], unusedCodes}. */
export function whatWasSeen(model, { signs, codes }) {
  const seen = Object.entries(signs)
    .filter(([sign]) => sign in model.signs)
    .map(([sign, outcome]) => at(model, sign, outcome));
  const groups = new Map();
  const unusedCodes = [];
  for (const code of new Set(codes ?? [])) {
    const group = Object.keys(model.codes.groups).find((name) => model.codes.groups[name].split(" ").includes(code));
    if (group) groups.set(group, [...(groups.get(group) ?? []), code]);
    else unusedCodes.push(code);
  }
  for (const [group, members] of groups) {
    const one = at(model, "codes", group);
    seen.push({ ...one, says: `${members.join(", ")}: ${one.says}` });
  }
  if (codes?.length === 0) seen.push(at(model, "codes", model.codes.none));
  return { seen, unusedCodes };
}

function at(model, sign, outcome) {
  const place = model.signs[sign].outcomes.indexOf(outcome);
  return { sign, place, says: model.signs[sign].phrases[place] };
}
