// The service worker: put together by the server from words.js and the worker-*.js parts before this one, as one classic
// script (Firefox reads a worker made of modules only since 147). It serves pages and files. Entries are never its
// business: the page sends them, past any worker, old or new.

self.addEventListener("install", (event) => event.waitUntil(keepShell()));

self.addEventListener("activate", (event) => event.waitUntil(dropOldShells().then(() => self.clients.claim())));

// A new version takes over only when someone taps on it (release.js).
self.addEventListener("message", (event) => {
  if (event.data === "use it") self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith("/static/") || SHARED.test(url.pathname)) event.respondWith(assetFor(request));
  else if (PICTURE.test(url.pathname)) event.respondWith(pictureFor(request));
  else if (request.mode === "navigate") event.respondWith(pageFor(event, url));
});

async function pageFor(event, url) {
  const own = ["/start", "/waiting"].includes(url.pathname) && ((await keptPage(url)) ?? (await fromShell(url.pathname)));
  if (own) return own;
  const asking = askGarage(event.request);
  event.waitUntil(asking.then((response) => renew(url, response)));
  const answer = await inTime(patience(), asking);
  const instead = await insteadOf(answer, url);
  if (instead) return instead;
  return answer ?? (await inTime(LAST_PATIENCE_MS, asking)) ?? awayPage();
}

/** What the phone shows rather than this answer (null: there is none yet); null if the answer is to be shown. */
async function insteadOf(answer, url) {
  if (answer?.status === 404) return blankPage(url, { waits: true });
  const why = whyNot(answer);
  if (!why) return null;
  const page = (await keptPage(url)) ?? (await blankPage(url, { waits: false }));
  return page ? told(page, why) : null;
}

function whyNot(answer) {
  if (answer === null || answer.status >= 500) return "away";
  return answer.status === 401 || answer.status === 403 ? "unpaired" : null;
}

async function awayPage() {
  return (await keptPage(new URL("/away", self.location.origin))) ?? fromShell("/away");
}
