// The pages of the cars taken along. They are put here by the page (along.js); the worker hands them out, and renews one
// that it sees going by.

const PAGES_CACHE = "pages";

// `car` only tells the worker which car a new job is on; the page is the same without.
function keyOf(url) {
  const key = new URL(url.pathname === "/" ? "/cars" : url, url.origin);
  key.hash = "";
  key.searchParams.delete("car");
  return key.href;
}

async function keptPage(url) {
  const pages = await caches.open(PAGES_CACHE);
  const kept = await pages.match(keyOf(url), { ignoreVary: true });
  // The address of a blank form, a working or the search may say what to put in it; it is kept without, and the page
  // fills it in (kept.js, workings.js, hole.js, find.js).
  if (kept || !/^\/workings\/|\/new(\/|$)|\/hole$|^\/find$/.test(url.pathname)) return kept;
  return pages.match(url.origin + url.pathname, { ignoreVary: true });
}

/** Whether an answer is a page to keep: never a refusal, a fault, or where a redirect led. */
function isPage(response) {
  const type = response?.headers.get("content-type") ?? "";
  return response?.status === 200 && response.type === "basic" && !response.redirected && type.startsWith("text/html");
}

async function renew(url, response) {
  if (!isPage(response)) return;
  const copy = response.clone(); // now, before the page reads it
  const pages = await caches.open(PAGES_CACHE);
  if (await pages.match(keyOf(url), { ignoreVary: true })) await pages.put(keyOf(url), copy);
}
