"""A stretch of a log as a small line, and two curves on axes: drawn here, so that no script is needed to see them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.pages.words import number
from app.traces.channels import part
from app.traces.shown import Shown
from app.traces.trace import Samples, Trace

WIDE, HIGH = 320.0, 64.0
_EDGE = 5.0
_MOST_POINTS = 160
_AROUND = 0.35  # of its length is drawn before and after what shows something

CHANNEL_LABEL = {
    "manifold_pressure": ("Manifold pressure", "kPa"),
    "engine_speed": ("Engine speed", "rpm"),
    "fuel_trim_short": ("Short fuel trim", "%"),
    "fuel_trim_long": ("Long fuel trim", "%"),
    "air_flow": ("Airflow", "g/s"),
}


@dataclass(frozen=True, slots=True)
class Spark:
    """A line in a box of 320 by 64; `left` and `wide` mark the part that shows it, `label` says it in words."""

    points: str
    left: float
    wide: float
    label: str


def spark(trace: Trace, one: Shown) -> Spark | None:
    """The channel around what a stretch shows; None where it holds too little to draw."""
    channel = one.channel
    if not trace.has(channel) and channel == "fuel_trim_short":
        channel = "fuel_trim_long"
    around = _AROUND * max(one.seconds, 1.0)
    begins, ends = one.begins - around, one.ends + around
    at, values = part(trace, channel, begins, ends)
    inside = part(trace, channel, one.begins, one.ends)[1]
    if at.size < 2 or not inside.size:
        return None
    begins, ends = float(at[0]), float(at[-1])
    low, high = float(values.min()), float(values.max())
    at, values = _thinned(at, values)
    span = (high - low) or 1.0
    xs = (at - begins) / (ends - begins) * WIDE
    ys = HIGH - _EDGE - (values - low) / span * (HIGH - 2 * _EDGE)
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in zip(xs, ys, strict=True))
    left = max(0.0, (one.begins - begins) / (ends - begins) * WIDE)
    right = min(WIDE, (one.ends - begins) / (ends - begins) * WIDE)
    name, unit = CHANNEL_LABEL[channel]
    least, most, middle = (number(float(one), 1) for one in (inside.min(), inside.max(), np.median(inside)))
    label = (
        f"{name} from {clock_of(one.begins)} to {clock_of(one.ends)} of the log: "
        f"between {least} and {most} {unit}, {middle} {unit} in the middle."
    )
    return Spark(points, round(left, 1), round(max(right - left, 2.0), 1), label)


def clock_of(seconds: float) -> str:
    """A moment of a log: 3:07, or 1:02:15."""
    whole = int(seconds)
    hours, rest = divmod(whole, 3600)
    return f"{hours}:{rest // 60:02}:{rest % 60:02}" if hours else f"{rest // 60}:{rest % 60:02}"


def _thinned(at: Samples, values: Samples) -> tuple[Samples, Samples]:
    """Fewer points of the same shape: of each group its least and its greatest, in their order."""
    if at.size <= _MOST_POINTS:
        return at, values
    rows: list[int] = []
    for group in np.array_split(np.arange(at.size), _MOST_POINTS // 2):
        rows += sorted({int(group[np.argmin(values[group])]), int(group[np.argmax(values[group])])})
    return at[rows], values[rows]


PLOT_WIDE, PLOT_HIGH = 390.0, 250.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 48.0, 10.0, 12.0, 34.0


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark on an axis: where, and what is written there."""

    at: float
    text: str


@dataclass(frozen=True, slots=True)
class Plot:
    """Curves on axes: each run thin, each side's mean thick; ticks across and up; `label` says it in words."""

    before: str
    after: str
    runs_before: tuple[str, ...]
    runs_after: tuple[str, ...]
    across: tuple[Tick, ...]
    up: tuple[Tick, ...]
    left: float = _LEFT
    right: float = PLOT_WIDE - _RIGHT
    top: float = _TOP
    bottom: float = PLOT_HIGH - _BOTTOM


def plot(rpm: Samples, before: Samples, after: Samples) -> Plot:
    """Rows of runs before and after over engine speed, with their means."""
    values = np.concatenate((before.ravel(), after.ravel()))
    step = _step_of(float(values.max() - values.min()), 5)
    low, high = np.floor(values.min() / step) * step, np.ceil(values.max() / step) * step
    high = high if high > low else low + step

    def x(one: float) -> float:
        return _LEFT + float((one - rpm[0]) / (rpm[-1] - rpm[0])) * (PLOT_WIDE - _LEFT - _RIGHT)

    def y(one: float) -> float:
        return PLOT_HIGH - _BOTTOM - float((one - low) / (high - low)) * (PLOT_HIGH - _TOP - _BOTTOM)

    def line(row: Samples) -> str:
        return " ".join(f"{x(a):.1f},{y(b):.1f}" for a, b in zip(rpm, row, strict=True))

    pace = _step_of(float(rpm[-1] - rpm[0]), 5)
    across = np.arange(np.ceil(rpm[0] / pace) * pace, rpm[-1] + 1, pace)
    up = np.arange(low, high + step / 2, step)
    return Plot(
        line(before.mean(axis=0)),
        line(after.mean(axis=0)),
        tuple(line(row) for row in before),
        tuple(line(row) for row in after),
        tuple(Tick(round(x(one), 1), number(float(one), 0)) for one in across),
        tuple(Tick(round(y(one), 1), number(float(one))) for one in up),
    )


def _step_of(span: float, count: int) -> float:
    """A round step that makes about so many of a span."""
    rough = max(span, 1e-6) / count
    power = 10.0 ** np.floor(np.log10(rough))
    return float(next(power * one for one in (1, 2, 5, 10) if power * one >= rough * 0.999))


def rows_of(rpm: Samples, before: Samples, after: Samples, every: int) -> Sequence[tuple[float, float, float]]:
    """The means as a table: engine speed, before, after; one row in so many."""
    means = before.mean(axis=0), after.mean(axis=0)
    return [(float(rpm[n]), float(means[0][n]), float(means[1][n])) for n in range(0, rpm.size, every)]
