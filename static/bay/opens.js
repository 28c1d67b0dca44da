// A link that leads to a folded part of this page unfolds it: `href="#id"`, or `data-opens="id"` where the address
// itself leads to a page of its own, for a browser without scripts.
//
// `data-set="line=l.1"` also chooses that in the form it leads to.

/** From now on such links unfold what they lead to, and the focus goes there. */
export function openFromNowOn() {
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[href]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    const id = link.dataset.opens ?? (link.getAttribute("href").startsWith("#") ? link.hash.slice(1) : "");
    const part = id && document.getElementById(id);
    if (!(part instanceof HTMLDetailsElement)) return;
    event.preventDefault();
    set(part, link.dataset.set);
    open(part);
  });
  document.addEventListener("click", (event) => {
    const button = event.target.closest?.("[data-folds]");
    if (button) button.closest("details").open = false;
  });
  const here = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (here instanceof HTMLDetailsElement) open(here);
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
