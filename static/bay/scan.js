// The scanner: asks for the camera at the tap, looks for a code, and follows it if it leads to this garage.

const EVERY_MS = 250;
const button = document.getElementById("scan");
const view = document.getElementById("view");
const video = document.getElementById("seen");
const NONE = "This browser can't read codes. Use the phone's own camera app: hold it over the label and tap the address that comes up.";
const NOT_HERE = "This browser lets pages use the camera only at an address that starts with https. Use the phone's own camera app.";
const REFUSED = "The camera may not be used here, or another program has it. Allow it in the browser's settings for this page, or use the phone's own camera app.";
const ELSEWHERE = "That code is no label of this garage, and is not followed.";
let stream = null;
let looking = 0;

function say(text) {
  document.getElementById("says").textContent = text;
}

/** The path a code leads to; null unless it is an address of this garage. */
export function pathIn(code) {
  const url = URL.canParse(code) ? new URL(code) : null;
  return url?.origin === location.origin ? url.pathname + url.search : null;
}

function stop() {
  clearTimeout(looking);
  for (const track of stream?.getTracks() ?? []) track.stop();
  stream = null;
  view.hidden = true;
  button.textContent = "Use the camera";
}

async function look(detector) {
  if (stream === null) return;
  const codes = await detector.detect(video).catch(() => []);
  if (stream === null) return;
  const path = codes.map((one) => pathIn(one.rawValue)).find(Boolean);
  if (path) {
    stop();
    say("Found. It opens.");
    location.assign(path);
    return;
  }
  say(codes.length > 0 ? ELSEWHERE : "Looking for a code. Hold the label flat, a hand away.");
  looking = setTimeout(() => look(detector), EVERY_MS);
}

async function begin() {
  if (stream !== null) {
    stop();
    return;
  }
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
  } catch {
    say(REFUSED);
    return;
  }
  video.srcObject = stream;
  view.hidden = false;
  button.textContent = "Stop";
  await video.play();
  await look(new BarcodeDetector({ formats: ["qr_code"] }));
}

if (!navigator.mediaDevices) say(NOT_HERE);
else if (!("BarcodeDetector" in window)) say(NONE);
else {
  say("Tap “Use the camera” and hold it over a label. The phone's own camera app does it too.");
  button.parentElement.hidden = false;
  button.addEventListener("click", begin);
}
// A camera is not left running behind another page.
addEventListener("pagehide", stop);
