// Takes a form's sending over: write first, send after.

import { entriesOf, setMoments } from "./entry.js";
import { mark, unmark } from "./marks.js";
import { keep, waiting, withdraw } from "./outbox.js";
import { send } from "./sender.js";
import { doubts, missing } from "./wrong.js";

// How long a page waits for the server's answer before it goes on without it.
const PATIENCE_MS = 1_500;
const FULL = "This phone is full: it could not be kept. Nothing you typed is lost; free some space and tap again.";
const NOT_KEPT = "This phone could not keep it. Nothing you typed is lost; tap again.";
const taking = new WeakSet();

/** From now on a form with `data-kind` is kept on this phone before it is sent. `kept(form, entries)` is told at once. */
export function capture(kept) {
  // A browser keeps nothing safely for an address it does not trust: there the forms go straight to the server.
  if (!isSecureContext) return;
  document.addEventListener("submit", (event) => take(event, kept), { capture: true });
  document.addEventListener("input", (event) => {
    const form = event.target.closest?.("form[data-kind]");
    if (form) form.dataset.typed = event.target.dataset.typed = "yes";
  });
}

async function take(event, kept) {
  const form = event.target;
  if (!form.dataset.kind || "plain" in form.dataset) return;
  event.preventDefault();
  event.stopImmediatePropagation(); // what else listens would send it past the outbox
  if (taking.has(form)) return; // a gloved finger taps twice
  taking.add(form);
  try {
    await act(form, event.submitter, kept);
  } finally {
    taking.delete(form);
  }
}

async function act(form, button, kept) {
  if (button?.ariaPressed === "true") return; // it says so already
  const wrong = { ...missing(form), ...doubts(form) };
  unmark(form);
  if (Object.keys(wrong).length > 0) {
    mark(form, wrong);
    return;
  }
  const { record, entries } = entriesOf(form, button);
  if (entries.length === 0) return;
  try {
    if (form.enctype === "multipart/form-data") await (await import("./pictures.js")).attach(form, entries);
    await keep(entries);
  } catch (error) {
    mark(form, { "": error?.name === "QuotaExceededError" ? FULL : (error?.forPerson ?? NOT_KEPT) });
    return;
  }
  delete form.dataset.typed;
  const fillAgain = form.dataset.record || form.dataset.then ? () => {} : emptied(form);
  if (form.dataset.record) taking.delete(form); // another button of it may be meant
  if ("folds" in form.dataset) form.closest("details").open = false;
  await kept(form, entries);
  const { refused, away } = await answerFor(entries);
  if (refused.length > 0 && !entries.some((entry) => entry.picture)) {
    // The person is still at the form: it is mended here, not in the outbox (a photo is not to be had twice).
    await withdraw(entries.map((entry) => entry.id));
    form.dataset.begun = record;
    if (form.dataset.typed !== "yes") fillAgain();
    mark(form, Object.assign({}, ...refused.map((entry) => entry.reasons)));
    return;
  }
  delete form.dataset.begun;
  const then = (away && form.dataset.thenAway) || form.dataset.then;
  if (then) location.assign(then.replaceAll("{record}", record));
}

// A form that stays on the page and makes a new record each time is ready for the next; what puts it back as it was.
function emptied(form) {
  const were = [...form.elements].map((control) => [control, control.value, control.checked]);
  form.reset();
  for (const control of form.elements) delete control.dataset.typed;
  setMoments(form);
  const fold = form.closest("details");
  if (fold) fold.open = false;
  return () => {
    if (fold) fold.open = true;
    for (const [control, value, checked] of were) {
      if (control.type !== "file") control.value = value;
      control.checked = checked;
    }
  };
}

async function answerFor(entries) {
  const ids = new Set(entries.map((entry) => entry.id));
  const late = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS));
  await Promise.race([send().catch(() => {}), late]);
  const left = (await waiting()).filter((entry) => ids.has(entry.id));
  return { refused: left.filter((entry) => entry.state === "refused"), away: left.length > 0 };
}
