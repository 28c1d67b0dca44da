// A page from the phone's memory says so, at its top and from the first moment: nothing moves once it is seen.

const WHY = { away: "the garage does not answer", unpaired: "this phone is not paired with the garage" };

/** The page with a strip that says since when it is so and why it is not asked anew. */
async function told(page, why) {
  const text = await page.text();
  const asOf = /<meta name="as-of" content="([^"]+)"/.exec(text)?.[1];
  if (!asOf) return remade(page, text);
  const strip = `id="kept" data-why="${why}"><span data-says>As of ${moment(asOf)}: ${WHY[why]}</span>`;
  // What waits is laid over it before it is shown (first.js does the same for a page from the garage).
  const html = text.replace('<html lang="en">', '<html lang="en" class="laying">');
  return remade(page, html.replace('id="kept" hidden><span data-says></span>', strip));
}

/** The same answer with another text; what was true of the old text alone is left out. */
function remade(page, text) {
  const headers = new Headers(page.headers);
  for (const name of ["content-encoding", "content-length", "etag", "last-modified"]) headers.delete(name);
  return new Response(text, { headers });
}
