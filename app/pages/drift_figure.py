"""The chart of a series as a picture: its readings side by side in the order taken, the usual band, what judges them,
and the work between them on the axis.

Side by side and not by the date, as control charts are: a drift of weeks would vanish beside years. Shapes say it all,
colour only helps: a dot is as usual, a diamond at the edge, a cross outside; a triangle is a job, a square a part.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from app.pages.words import day
from app.records.drift import band
from app.records.drift_chart import DriftChart, Work
from app.records.shown import Scale, written
from app.workings.drift import DECIDES, Rule
from app.workings.spread import Where, place

#: In the drawing's units, which are a telephone's pixels.
WIDTH = 376.0
_LEFT, _RIGHT = 50.0, 364.0
_TOP, _BOTTOM = 30.0, 226.0
_SUM_TOP, _SUM_HEIGHT = 250.0, 84.0
_ROW, _DATES = 26.0, 26.0
_APART = 15.0
_TICKS = 4


@dataclass(frozen=True, slots=True)
class Dot:
    """One reading: where, and its shape (inside, edge or outside; inside where nothing is usual).

    `figure` is written beside one so wild that its place would flatten all others: it stands at the border.
    """

    x: float
    y: float
    shape: str
    figure: str = ""


@dataclass(frozen=True, slots=True)
class Tick:
    """A figure on the scale at the left."""

    y: float
    label: str


@dataclass(frozen=True, slots=True)
class WorkMark:
    """A job or part change on the axis; `count` of them where they lie too near to tell apart."""

    x: float
    is_part: bool
    count: int


@dataclass(frozen=True, slots=True)
class Sums:
    """The two cumulative sums under the readings, up and down from their middle, and how far off it they decide."""

    middle: float
    up: str
    down: str
    decides: tuple[float, float]


@dataclass(frozen=True, slots=True)
class DriftFigure:
    """The picture. Lines are points of a polyline, empty where there is none; `since` is the x where a drift began.

    `figures` are the readings as shown, `means` what the line runs through.
    """

    figures: tuple[float, ...]
    means: tuple[float, ...]
    height: float
    axis_y: float
    label: str
    dots: tuple[Dot, ...]
    path: str
    band: tuple[float, float] | None
    line: str
    limits: tuple[str, ...]
    sums: Sums | None
    ticks: tuple[Tick, ...]
    marks: tuple[WorkMark, ...]
    since: float | None
    since_said: str
    dates: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Plot:
    """Where a figure on the scale and a reading's number fall."""

    low: float
    high: float
    count: int

    def x(self, number: float) -> float:
        if self.count == 1:
            return (_LEFT + _RIGHT) / 2
        room = 9.0  # so that no shape hangs over the edge
        return _LEFT + room + (_RIGHT - _LEFT - 2 * room) * number / (self.count - 1)

    def y(self, figure: float) -> float:
        figure = max(self.low, min(self.high, figure))
        return _BOTTOM - (figure - self.low) / (self.high - self.low) * (_BOTTOM - _TOP)

    def line(self, figures: Sequence[float]) -> str:
        return " ".join(f"{self.x(n):.1f},{self.y(figure):.1f}" for n, figure in enumerate(figures))


def figure_of(chart: DriftChart, title: str) -> DriftFigure:
    """Draw a series of which at least one reading was taken, on the scale of the latest."""
    scale = chart.readings[-1].scale
    shown = [scale.shown(one.si) for one in chart.readings]
    edges = band(chart.usual, scale) if chart.usual else ()
    verdict = chart.judged
    line = [scale.border(each) for each in verdict.line] if verdict else []
    limits: list[list[float]] = []
    if verdict and verdict.limits:
        ends = [(scale.border(one.lower), scale.border(one.upper)) for one in verdict.limits]
        limits = [list(side) for side in zip(*ends, strict=True)]
    ticks = list(_ticks(_fitting(shown, [*edges, *line, *(each for side in limits for each in side)])))
    plot = _Plot(ticks[0], ticks[-1], len(shown))
    has_sums = verdict is not None and verdict.rule is Rule.CUSUM
    axis = _SUM_TOP + _SUM_HEIGHT + 8 if has_sums else _BOTTOM + 10
    drift = verdict.drift if verdict else None
    taken = [one.taken_at for one in chart.readings]
    return DriftFigure(
        tuple(shown),
        tuple(line),
        axis + 2 * _ROW + _DATES,
        axis,
        _label(title, chart, scale),
        tuple(_dots(chart, shown, plot)),
        plot.line(shown) if len(shown) > 1 else "",
        (plot.y(edges[1]), plot.y(edges[0])) if edges else None,
        plot.line(line),
        tuple(plot.line(side) for side in limits),
        _sums(verdict.sums, plot) if verdict and has_sums else None,
        tuple(Tick(plot.y(each), _written(each, ticks)) for each in ticks),
        tuple(_marks(chart.work, taken, plot)),
        (plot.x(drift.since) + plot.x(max(drift.since - 1, 0))) / 2 if drift else None,
        f"since {day(taken[drift.since])}" if drift else "",
        (day(taken[0]), day(taken[-1])) if len(taken) > 1 else (day(taken[0]),),
    )


def _dots(chart: DriftChart, shown: Sequence[float], plot: _Plot) -> Iterator[Dot]:
    for n, (one, figure) in enumerate(zip(chart.readings, shown, strict=True)):
        where = place(one.si, chart.usual.usual).where if chart.usual else Where.INSIDE
        scale = chart.readings[-1].scale
        beyond = not plot.low <= figure <= plot.high
        yield Dot(plot.x(n), plot.y(figure), where.value, scale.figure(figure) if beyond else "")


def _sums(sums: Sequence[tuple[float, float]], plot: _Plot) -> Sums:
    middle, one = _SUM_TOP + _SUM_HEIGHT / 2, _SUM_HEIGHT / 2 / (1.25 * DECIDES)

    def line(side: int, sign: int) -> str:
        return " ".join(f"{plot.x(n):.1f},{middle + sign * one * both[side]:.1f}" for n, both in enumerate(sums))

    return Sums(middle, line(0, -1), line(1, +1), (middle - one * DECIDES, middle + one * DECIDES))


def _marks(work: Sequence[Work], taken: Sequence[str], plot: _Plot) -> Iterator[WorkMark]:
    for is_part in (False, True):
        # Where readings are few, half a place beyond the last one would be off the picture.
        xs = [min(plot.x(_place(one.at, taken)), _RIGHT + 4) for one in work if bool(one.is_part) is is_part]
        begun, count = 0.0, 0
        for x in xs:
            if count and x - begun < _APART:
                count += 1
                continue
            if count:
                yield WorkMark(begun, is_part, count)
            begun, count = x, 1
        if count:
            yield WorkMark(begun, is_part, count)


def _place(at: str, taken: Sequence[str]) -> float:
    # Half-way between the readings it lies between: between two dots only the order is drawn to scale.
    after = bisect_right(taken, at)
    return min(max(after - 0.5, 0.0), len(taken) - 1 + 0.5 / max(len(taken), 1))


def _fitting(shown: Sequence[float], drawn: Sequence[float]) -> list[float]:
    # A fault of long ago would flatten everything since: what lies far off all that is drawn stands at the border.
    if not drawn:
        return list(shown)
    low, high = min(*drawn, shown[-1]), max(*drawn, shown[-1])
    room = high - low
    return [*drawn, *(each for each in shown if low - room <= each <= high + room)]


def _ticks(figures: Sequence[float]) -> Iterator[float]:
    low, high = min(figures), max(figures)
    step = _step((high - low or abs(high) * 0.1 or 1.0) / _TICKS)
    first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
    yield from (n * step for n in range(first, max(last, first + 1) + 1))


def _step(least: float) -> float:
    tenth = 10.0 ** floor(log10(least))
    return tenth * next(each for each in (1, 2, 5, 10) if each * tenth >= least * (1 - 1e-9))


def _written(figure: float, ticks: Sequence[float]) -> str:
    step = ticks[1] - ticks[0]
    return written(figure, max(0, -floor(log10(step) + 1e-9)))


def _label(title: str, chart: DriftChart, scale: Scale) -> str:
    figure = scale.figure(scale.shown(chart.readings[-1].si))
    said = f"{title}: {len(chart.readings)} readings, the latest {figure} {scale.unit_label}"
    one = chart.drifting
    return f"{said}. It drifts: {one.says} since {day(one.since)}." if one else f"{said}. The list below says the same."
