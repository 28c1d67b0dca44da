// Pictures on their way: made small, kept with the entry that tells of them, and shown from this phone until the garage
// has them.

import { pictureOf } from "./outbox.js";

const LONGEST_SIDE = 1600;
const QUALITY = 0.82;
const NONE = "This phone can't read that as a picture. Nothing was kept; take another one.";

/** Put the picture a form holds beside the first of its entries; throws an Error with what to tell the person (forPerson). */
export async function attach(form, entries) {
  const file = form.querySelector("input[type=file]")?.files[0];
  if (file) entries[0].picture = await small(file);
}

/** The picture in `file` as a JPEG of at most LONGEST_SIDE pixels a side, upright: an ArrayBuffer. */
async function small(file) {
  try {
    const seen = await createImageBitmap(file, { imageOrientation: "from-image" });
    const scale = Math.min(1, LONGEST_SIDE / Math.max(seen.width, seen.height));
    const canvas = drawn(seen, Math.round(seen.width * scale), Math.round(seen.height * scale));
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
    return await blob.arrayBuffer();
  } catch {
    throw Object.assign(new Error(NONE), { forPerson: NONE });
  }
}

function drawn(seen, width, height) {
  const canvas = Object.assign(document.createElement("canvas"), { width, height });
  const pen = canvas.getContext("2d");
  pen.fillStyle = "white"; // a JPEG has no clear parts
  pen.fillRect(0, 0, width, height);
  pen.drawImage(seen, 0, 0, width, height);
  return canvas;
}

// What the garage has not got yet is drawn from this phone's own memory; the rest it can ask for.
async function show() {
  for (const image of document.querySelectorAll("img[data-picture]")) {
    const bytes = await pictureOf(image.dataset.picture).catch(() => undefined);
    if (!image.isConnected) continue;
    if (bytes === undefined) {
      if (!image.getAttribute("src")) image.src = `/photos/${image.dataset.picture}/picture`;
      continue;
    }
    const seen = await createImageBitmap(new Blob([bytes], { type: "image/jpeg" }));
    const canvas = drawn(seen, seen.width, seen.height);
    canvas.setAttribute("role", "img");
    canvas.setAttribute("aria-label", image.alt);
    image.replaceWith(canvas);
  }
}

document.addEventListener("laid", show);
document.addEventListener("change", (event) => {
  const box = event.target;
  if ("sends" in (box.dataset ?? {}) && box.files.length > 0) box.form.requestSubmit();
});
show();
