// What every page is made of (styles, letters, scripts, the few pages with no record in them), kept under the name of
// its release. RELEASE and SHELL are written in front of the worker by the server.

const SHELL_CACHE = `shell-${RELEASE}`;
const FOR_GOOD = /[?&]v=|\/bay\/[0-9a-f]{12}\//;

async function keepShell() {
  const cache = await caches.open(SHELL_CACHE);
  await Promise.all(SHELL.map((address) => keepOne(cache, address)));
}

async function keepOne(cache, address) {
  // What bears a mark of its content may come from the browser's own cache; the page has just fetched most of it.
  const response = await fetch(address, { cache: FOR_GOOD.test(address) ? "default" : "no-cache", redirect: "error" });
  // Half a shell is no shell: the worker is then not installed, and is tried again with a later page.
  if (response.status !== 200) throw new Error(`${address} answers ${response.status}`);
  await cache.put(address, response);
}

async function dropOldShells() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith("shell-") && name !== SHELL_CACHE);
  await Promise.all(old.map((name) => caches.delete(name)));
}

async function fromShell(address) {
  const cache = await caches.open(SHELL_CACHE);
  return cache.match(address, { ignoreVary: true });
}
