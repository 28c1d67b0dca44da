// A page that came out of the phone's memory: what its address says is put into its form, and once the garage answers
// again, a fresh one is offered.

const ASK_EVERY_MS = 20_000;
const LIMIT_MS = 5_000;

/** Do what a kept page needs; nothing on a page that came from the garage. */
export function lookAfterKeptPage() {
  const strip = document.getElementById("kept");
  if (!strip || strip.hidden) return;
  fillIn(new URLSearchParams(location.search));
  const ask = async () => {
    if (document.visibilityState !== "visible" || !(await garageAnswers())) return;
    clearInterval(asking);
    strip.querySelector("[data-says]").textContent = "The garage answers again:";
    strip.querySelector("a").hidden = false;
  };
  const asking = setInterval(ask, ASK_EVERY_MS);
  document.addEventListener("visibilitychange", ask);
}

// A blank form is kept without what its address may say of the line or the ticket it is about.
function fillIn(asked) {
  for (const [name, value] of asked) {
    for (const control of document.querySelectorAll(`form[data-kind] [name="${CSS.escape(name)}"]`)) {
      if (control.type === "radio" || control.type === "checkbox") control.checked = control.value === value;
      else control.value = value;
    }
  }
}

async function garageAnswers() {
  try {
    const signal = AbortSignal.timeout(LIMIT_MS);
    return (await fetch("/manifest.webmanifest", { cache: "no-store", signal })).ok;
  } catch {
    return false;
  }
}
