// One panel of a chart of a log: uPlot draws the figures, this its own line, and what went over target.

const HEIGHT = 118;
const AXIS = 34; // the clock under the last panel
const { uPlot } = window;

/** The page's colours as it shows them now: {ink, soft, edge, stop, hand}; and its face. */
export function colours(element) {
  const probe = element.ownerDocument.createElement("i");
  element.append(probe);
  const style = getComputedStyle(probe);
  const found = { face: `16px ${style.fontFamily}` };
  for (const [name, token] of [["ink", "--ink"], ["soft", "--ink-soft"], ["edge", "--edge"], ["stop", "--stop"], ["hand", "--hand"]]) {
    probe.style.color = `var(${token})`;
    found[name] = getComputedStyle(probe).color;
  }
  probe.remove();
  return found;
}

/** A figure as the table writes it (app/pages/log_charts.py's figure_of): four digits of it. */
export function figureOf(value) {
  if (value === null || value === undefined) return "–";
  return (Math.abs(value) >= 1000 ? value.toFixed(0) : String(Number(value.toPrecision(4)))).replace("-", "−");
}

const plain = (_, splits) => splits.map(figureOf);

/** The axes of a chart in the page's own colours. */
export function axes(look, { isLast, values }) {
  const line = { stroke: look.edge, width: 1 };
  const shared = { stroke: look.soft, font: look.face, grid: line, ticks: { ...line, size: 4 } };
  return [
    { ...shared, show: isLast, size: AXIS, space: 70, values: values ?? plain },
    { ...shared, size: 58, space: 36, values: plain },
  ];
}

const inTime = (_, splits) => splits.map((one) => `${Math.floor(one / 60)}:${(one % 60).toFixed(one % 1 ? 1 : 0).padStart(one % 1 ? 4 : 2, "0")}`);

/** A panel of a channel: {element, fit(), read(at), over(), destroy()}; `line()` says where the line stands. */
export function panel(box, channel, told, { look, over, isLast, line }) {
  const element = document.createElement("div");
  element.className = "panel";
  const head = Object.assign(document.createElement("h3"), { textContent: channel.label });
  if (channel.unit) head.append(Object.assign(document.createElement("small"), { textContent: channel.unit }));
  const says = head.appendChild(document.createElement("output"));
  const place = Object.assign(document.createElement("div"), { className: "plot" });
  element.append(head, place);
  const plot = new uPlot(
    {
      width: box.clientWidth,
      height: HEIGHT + (isLast ? AXIS : 0),
      legend: { show: false },
      cursor: { show: false },
      padding: [8, 12, isLast ? 0 : 8, 0],
      scales: { x: { time: false, range: [told.from, told.to] } },
      axes: axes(look, { isLast, values: inTime }),
      series: [{}, { stroke: look.ink, width: 1.5, points: { show: told.at.length < 40 } }],
      hooks: { drawClear: [(u) => bands(u, over, look)], draw: [(u) => drawLine(u, line(), look)] },
    },
    [told.at, channel.figures],
    place,
  );
  return {
    element,
    fit: () => plot.setSize({ width: box.clientWidth, height: HEIGHT + (isLast ? AXIS : 0) }),
    read(at) {
      says.textContent = figureOf(nearest(told.at, channel.figures, at));
      plot.redraw(false);
    },
    over: () => plot.over.getBoundingClientRect(),
    destroy: () => plot.destroy(),
  };
}

// The last figure at or before a moment: what the logger had noted by then.
function nearest(at, figures, moment) {
  let [low, high] = [0, at.length];
  while (low < high) {
    const half = (low + high) >> 1;
    if (at[half] <= moment) low = half + 1;
    else high = half;
  }
  return figures[Math.max(0, low - 1)];
}

// What went over target: a hatched band with a solid edge on top, never by colour alone.
function bands({ ctx, bbox, valToPos }, over, look) {
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  ctx.strokeStyle = ctx.fillStyle = look.stop;
  ctx.lineWidth = devicePixelRatio;
  for (const [from, to] of over) {
    const left = valToPos(from, "x", true);
    const width = Math.max(3 * devicePixelRatio, valToPos(to, "x", true) - left);
    ctx.fillRect(left, bbox.top, width, 4 * devicePixelRatio);
    ctx.save();
    ctx.beginPath();
    ctx.rect(left, bbox.top, width, bbox.height);
    ctx.clip();
    ctx.globalAlpha = 0.45;
    ctx.beginPath();
    for (let x = left - bbox.height; x < left + width; x += 7 * devicePixelRatio) {
      ctx.moveTo(x, bbox.top + bbox.height);
      ctx.lineTo(x + bbox.height, bbox.top);
    }
    ctx.stroke();
    ctx.restore();
  }
  ctx.restore();
}

function drawLine({ ctx, bbox, valToPos }, at, look) {
  const x = Math.round(valToPos(at, "x", true));
  if (x < bbox.left || x > bbox.left + bbox.width) return;
  ctx.fillStyle = look.hand;
  ctx.fillRect(x - devicePixelRatio, bbox.top, 2 * devicePixelRatio, bbox.height);
}
