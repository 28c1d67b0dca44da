// What was wrong with a form, said at the box it is about and tied to it; what is asked, where the answer is ticked.

let told = 0;

/** Take away what was said before. */
export function unmark(form) {
  for (const old of form.querySelectorAll("[data-told]")) {
    for (const box of form.querySelectorAll(`[aria-describedby~="${old.id}"]`)) untie(box, old.id);
    old.remove();
  }
  for (const box of form.querySelectorAll("[aria-invalid]")) box.removeAttribute("aria-invalid");
}

/** Say each sentence at its box, {name: sentence}; "" is about the form, "?key" asks, "?key.other" the same box. The first one is led to. */
export function mark(form, wrong) {
  form.closest("details")?.setAttribute("open", "");
  for (const [name, sentence] of Object.entries(wrong)) {
    if (name.startsWith("?")) at(form, form.querySelector(`[data-ask="${CSS.escape(name.slice(1).split(".")[0])}"]`), question(name.slice(1), sentence));
    else at(form, boxOf(form, name), said(sentence), true);
  }
  lead(form);
}

// A group of choices is one box. What can't be seen can't be marked: then it is about the form.
function boxOf(form, name) {
  const control = name && form.elements.namedItem(name);
  if (!control) return null;
  const box = control instanceof RadioNodeList ? control[0].closest("fieldset") : control;
  return box?.matches("fieldset, input:not([type=hidden]), select, textarea") && !box.closest("[hidden]") ? box : null;
}

function at(form, box, message, isWrong = false) {
  message.id = `told-${(told += 1)}`;
  message.dataset.told = "";
  const place = box?.closest(".field") ?? box;
  if (box === null) form.prepend(message);
  else if (!isWrong) (place.closest(".pair") ?? place).after(message);
  else {
    box.setAttribute("aria-invalid", "true");
    box.setAttribute("aria-describedby", `${message.id} ${box.getAttribute("aria-describedby") ?? ""}`.trim());
    if (place === box) place.after(message);
    else place.append(message);
  }
}

function untie(box, id) {
  const left = box.getAttribute("aria-describedby").split(" ").filter((one) => one !== id).join(" ");
  if (left) box.setAttribute("aria-describedby", left);
  else box.removeAttribute("aria-describedby");
}

/** A page that came back from the garage with something wrong in it leads there too. */
export function leadToWrong() {
  const form = document.getElementById("wrong")?.closest("form");
  if (form) lead(form);
}

// The hand finds itself where something is to be put right, with that in the middle of the screen.
function lead(form) {
  const invalid = form.querySelector('[aria-invalid="true"]');
  const first = form.querySelector("[data-told]") ?? invalid ?? document.getElementById("wrong");
  const box = invalid?.matches("fieldset") ? (invalid.querySelector("input:checked") ?? invalid.querySelector("input")) : invalid;
  for (let fold = first.closest("details"); fold; fold = fold.parentElement?.closest("details")) fold.open = true;
  (box ?? first.querySelector("input") ?? first).focus({ preventScroll: true });
  (first.matches("fieldset") ? first.querySelector(".wrong") ?? first : first).scrollIntoView({ block: "center" });
}

function said(sentence) {
  const message = document.createElement("span"); // it may stand in a label
  message.className = "wrong";
  message.tabIndex = -1; // where no box can be led to
  message.setAttribute("role", "alert");
  message.textContent = sentence;
  return message;
}

function question(key, sentence) {
  const asked = document.createElement("div");
  asked.className = "plate caution";
  asked.setAttribute("role", "alert");
  const label = document.createElement("label");
  label.className = "sure";
  label.append(Object.assign(document.createElement("input"), { type: "checkbox", name: "sure", value: key }), ` ${sentence}`);
  asked.append(label);
  return asked;
}
