// Forms that every page of a kind shares are not on the page: they come from one file that the phone keeps for all of
// them (app/pages/kept_for_good.py), and are put where the page has room for them.
//   data-forms="/cars/c/kept/job-forms/1a2b"   where they lie; on a part with the record they are for as `data-record`
//   data-form="touch"                          where those of that name go

const PLACEHOLDER = "00000000-0000-4000-8000-000000000000"; // as app/pages/kept_for_good.py writes it
let fetching = null;

/** The page's shared forms are in their places; it throws where neither phone nor garage has them. */
export function formsHere() {
  fetching ??= fetchForms().catch((error) => {
    fetching = null; // asked for again at the next tap
    throw error;
  });
  return fetching;
}

async function fetchForms() {
  const page = document.querySelector("[data-forms]");
  if (page === null) return;
  const response = await fetch(page.dataset.forms);
  if (!response.ok) throw new Error(`${page.dataset.forms} answers ${response.status}`);
  const { record } = page.dataset;
  const text = (await response.text()).replaceAll(PLACEHOLDER, record.slice(record.indexOf("/") + 1));
  const shared = new DOMParser().parseFromString(text, "text/html");
  for (const place of document.querySelectorAll("[data-form]")) {
    place.append(...shared.querySelector(`[data-form="${place.dataset.form}"]`).childNodes);
  }
}
