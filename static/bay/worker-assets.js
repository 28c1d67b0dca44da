// Static files: what bears a mark of its content never changes, so the phone's own copy is as good as the garage's. The
// same goes for what many pages of a car share (app/pages/kept_for_good.py); that lies among the car's pages.

const SHARED = /^\/cars\/[^/]+\/kept\//;

async function assetFor(request) {
  // Every cache is looked through: a newer release may wait with its shell kept, and the server's pages be of it.
  const kept = await caches.match(request, { ignoreVary: true });
  if (kept) return kept;
  try {
    const response = await fetch(request);
    if (response.status === 200 && FOR_GOOD.test(request.url)) {
      const cache = await caches.open(SHELL_CACHE);
      await cache.put(request, response.clone());
    }
    return response;
  } catch (error) {
    const near = await ofThisRelease(request.url);
    if (near) return near;
    throw error;
  }
}

// A page kept from an older release asks for files of that release; with no network, today's will do until the page
// itself is fetched anew.
async function ofThisRelease(asked) {
  const wanted = unmarked(asked);
  const address = SHELL.find((one) => unmarked(one) === wanted);
  return address && fromShell(address);
}

function unmarked(address) {
  return new URL(address, self.location.origin).pathname.replace(/\/bay\/[0-9a-f]{12}\//, "/bay/");
}
