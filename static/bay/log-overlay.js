// Two logs laid over each other, as two lines on one axis: the second one dashed. Its figures stand in the table below.

import { axes, colours } from "./log-panel.js";

const box = document.querySelector("[data-part=plots]");
const { by, at, lines } = JSON.parse(document.getElementById("overlay").textContent);
const asTime = (_, splits) => splits.map((one) => `${one} s`);
let plot = null;

function draw() {
  plot?.destroy();
  const look = colours(box);
  const seconds = by === "time";
  const points = { show: at.length < 40 };
  plot = new window.uPlot(
    {
      width: box.clientWidth,
      height: 320,
      legend: { show: false },
      cursor: { show: false },
      padding: [8, 14, 0, 0],
      scales: { x: { time: false } },
      axes: axes(look, { isLast: true, values: seconds ? asTime : undefined }),
      series: [
        {},
        { stroke: look.ink, width: 2, points, spanGaps: true },
        { stroke: look.hand, width: 3, dash: [9, 5], points, spanGaps: true },
      ],
    },
    [at, ...lines],
    box,
  );
}

draw();
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
addEventListener("resize", draw);
