// A link that leads to a folded part of this page unfolds it: `href="#id"`, or `data-opens="id"` where the address
// itself leads to a page of its own, for a browser without scripts. The part may be one that is only made when it is
// asked for (rows.js, data-asked).
//
// `data-opens` may stand on something that holds such links; "{last}" is then the last part of each one's address.
// `data-set="line=l.1"` also chooses that in the form it leads to. A button with `data-folds` folds its part away.

import { formsHere } from "./forms.js";
import { lay } from "./lay.js";
import { ask } from "./rows.js";

/** From now on such links unfold what they lead to, and the focus goes there. */
export function openFromNowOn() {
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[href], button[data-folds]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    const opens = link.closest("[data-opens]")?.dataset.opens;
    const id = opens?.replace("{last}", link.getAttribute("href")?.split("/").at(-1)) ?? (link.getAttribute("href")?.startsWith("#") ? link.hash.slice(1) : "");
    if (link.localName === "button") link.closest("details").open = false;
    else if (opens || document.getElementById(id) instanceof HTMLDetailsElement) {
      event.preventDefault();
      lead(id, link);
    }
  });
  formsHere().catch(() => {});
  const here = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (here instanceof HTMLDetailsElement) open(here);
}

async function lead(id, link) {
  if (document.getElementById(id) === null) {
    await formsHere().catch(() => {}); // then the link leads to a page of its own
    ask(id);
    await lay();
  }
  const part = document.getElementById(id);
  if (part === null) {
    location.assign(link.href.baseVal ?? link.href);
    return;
  }
  set(part, link.dataset.set);
  open(part);
}

function open(part) {
  for (let fold = part; fold; fold = fold.parentElement?.closest("details")) fold.open = true;
  part.querySelector("summary").focus({ preventScroll: true });
  part.scrollIntoView({ block: "nearest" });
}

function set(part, choices) {
  for (const [name, value] of new URLSearchParams(choices ?? "")) {
    for (const control of part.querySelectorAll(`[name="${CSS.escape(name)}"]`)) control.value = value;
  }
}
