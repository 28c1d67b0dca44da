// A part of a page that does not come (no connection, or an answer that is a fault): its link is followed instead.

function follow({ target }) {
  const link = target.closest?.("a[href]");
  if (link) location.assign(link.href);
}

document.addEventListener("htmx:error", follow);
document.addEventListener("htmx:response:error", follow);
