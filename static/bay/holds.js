// Conditions over known records, as a page writes them: "touch/j.l how = disconnected|replaced & ! . void_reason".
//
// Joined by " & "; each is a record, a field and, unless "is filled" is meant, an operator: = or <> one of several
// values, >= or < a figure (or a day, or a moment). "! " turns a condition round. "." is the record it is asked of.

/** A stored or typed value as text: a yes or no as the forms send it, nothing as nothing. */
export function plain(value) {
  if (value === true) return "yes";
  if (value === false) return "no";
  return value === null || value === undefined ? "" : String(value).trim();
}

/** Whether every condition holds; `here` is the ref ("kind/id") that "." stands for. */
export function holdFor(conditions, here, known) {
  return conditions.split(" & ").every((condition) => {
    const not = condition.startsWith("! ");
    const [word, field, operator, ...rest] = condition.slice(not ? 2 : 0).trim().split(" ");
    const value = plain(known.fields(word === "." ? here : word)[field]);
    return compared(value, operator, rest.join(" ")) !== not;
  });
}

function compared(value, operator, wanted) {
  if (operator === "=") return wanted.split("|").includes(value);
  if (operator === "<>") return !wanted.split("|").includes(value);
  if (operator === ">=") return value !== "" && !isLess(value, wanted);
  if (operator === "<") return value !== "" && isLess(value, wanted);
  return value !== "";
}

function isLess(a, b) {
  const [x, y] = [Number(a), Number(b)];
  return Number.isNaN(x) || Number.isNaN(y) ? a < b : x < y;
}
