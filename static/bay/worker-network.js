// The garage on the network: asked first, but never waited for longer than a hand on a spanner would.

const PATIENCE_MS = 2_500;
// It did not answer a moment ago: the next page need not wait as long to find that out again.
const LITTLE_PATIENCE_MS = 500;
const A_MOMENT_MS = 60_000;
// With nothing kept to show instead, a slow answer is better than none.
const LAST_PATIENCE_MS = 10_000;

let awayAt = -Infinity;

function patience() {
  return Date.now() - awayAt < A_MOMENT_MS ? LITTLE_PATIENCE_MS : PATIENCE_MS;
}

/** The garage's answer whenever it comes; null once it is sure that none will. */
async function askGarage(request) {
  try {
    const response = await fetch(request);
    awayAt = -Infinity;
    return response;
  } catch {
    awayAt = Date.now();
    return null;
  }
}

/** The answer if it comes within `ms`, else null. */
function inTime(ms, answer) {
  const late = new Promise((resolve) => {
    setTimeout(() => {
      awayAt = Date.now();
      resolve(null);
    }, ms);
  });
  return Promise.race([answer, late]);
}
