// Pictures never change under their address: the phone's own copy, of one it showed before or sent itself, will do.

const PICTURES_CACHE = "pictures";
const PICTURE = /^\/photos\/[^/]+\/picture$/;
// Some 250 kB each: a season's jobs, and no more of the phone than an hour of its camera.
const MOST_PICTURES = 300;

async function pictureFor(request) {
  const pictures = await caches.open(PICTURES_CACHE);
  const kept = await pictures.match(request.url, { ignoreVary: true });
  if (kept) return kept;
  const response = await fetch(request);
  if (response.status === 200) await keepPicture(pictures, request.url, response.clone());
  return response;
}

async function keepPicture(pictures, address, response) {
  await pictures.put(address, response).catch(() => {}); // a full phone asks again another time
  const keys = await pictures.keys();
  for (const oldest of keys.slice(0, Math.max(0, keys.length - MOST_PICTURES))) await pictures.delete(oldest);
}
