"""One suspect's waterfall as a picture and a table: from its base rate to its probability, a bar for each factor.

The bars lie on a scale of odds, each decade as wide as the next, so that a factor is as long wherever it falls; the
scale is marked in per cent.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import log

from app.pages.words import number
from app.triage.chart.lettering import TEXT as MEASURED
from app.triage.chart.lettering import Run, broken
from app.triage.waterfall import WaterfallStep

#: In the drawing's units, which are a telephone's pixels.
WIDTH = 376.0
_TEXT, _LEADING = 15.0, 18.0
_BAR, _GAP = 12.0, 9.0
_TOP, _BOTTOM = 26.0, 8.0
_FIGURE_ROOM = 74.0
#: Per cent the scale is marked at, where they fall on it.
_MARKS = (0.01, 0.1, 1, 10, 50, 90, 99, 99.9)
_MARK_ROOM = 40.0
_ALL_THE_SAME = 0.005  # of the odds


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark of the scale: where, and the per cent."""

    x: float
    label: str


@dataclass(frozen=True, slots=True)
class Bar:
    """One step: its words in lines with the baseline of the first, what it did, and its bar from `x` on.

    `sort` is "ends" for the first and the last, else "up", "down" or "same".
    """

    lines: tuple[str, ...]
    y: float
    figure: str
    sort: str
    x: float
    width: float
    bar_y: float


@dataclass(frozen=True, slots=True)
class Row:
    """The same step in the table."""

    reason: str
    figure: str
    then: str


@dataclass(frozen=True, slots=True)
class Waterfall:
    """The picture, its height, the lines from bar to bar (x, from, to), and the table."""

    bars: tuple[Bar, ...]
    marks: tuple[Mark, ...]
    falls: tuple[tuple[float, float, float], ...]
    height: float
    rows: tuple[Row, ...]


def waterfall_of(steps: Sequence[WaterfallStep]) -> Waterfall:
    """Draw the steps, of which there is at least the base rate."""
    at = [step.log_odds for step in steps]
    low, high = min(at) - 0.7, max(at) + 0.4
    scale = (WIDTH - 2) / max(high - low, 1.0)

    def x(log_odds: float) -> float:
        return 1 + (log_odds - low) * scale

    bars = tuple(_bars(steps, [x(each) for each in at]))
    falls = tuple(
        (x(step.log_odds), one.bar_y + _BAR, after.bar_y)
        for one, after, step in zip(bars, bars[1:], steps, strict=False)
    )
    marks = [Mark(x(log(p / (100 - p))), f"{p:g}%") for p in _MARKS if low < log(p / (100 - p)) < high]
    return Waterfall(bars, tuple(_apart(marks)), falls, bars[-1].bar_y + _BAR + _BOTTOM, tuple(_rows(steps)))


def _bars(steps: Sequence[WaterfallStep], xs: Sequence[float]) -> Iterator[Bar]:
    y = _TOP
    before = 0.0
    for step, x in zip(steps, xs, strict=True):
        is_base = step.kind == "base"
        lines = _lines(_short(step))
        bar_y = y + _LEADING * len(lines) + 3
        left, right = (0.0, x) if is_base else (min(before, x), max(before, x))
        yield Bar(lines, y + _TEXT, _figure(step), _sort(step), left, max(right - left, 2.0), bar_y)
        y, before = bar_y + _BAR + _GAP, x
    last = steps[-1]
    yield Bar(("Now",), y + _TEXT, share(last.probability), "ends", 0.0, xs[-1], y + _LEADING + 3)


def _sort(step: WaterfallStep) -> str:
    if step.kind == "base":
        return "ends"
    if abs(step.by - 1) < _ALL_THE_SAME:
        return "same"
    return "up" if step.by > 1 else "down"


def _short(step: WaterfallStep) -> str:
    # Of a sign what was seen; how often this suspect shows it stands in the table.
    words = step.reason.partition(": ")[0] if step.kind == "sign" else step.reason
    return words[:1].upper() + words[1:]


def _lines(words: str) -> tuple[str, ...]:
    lines = broken((Run(words),), (WIDTH - _FIGURE_ROOM) * MEASURED / _TEXT)
    return tuple("".join(run.text for run in line) for line in lines)


def _figure(step: WaterfallStep) -> str:
    return share(step.probability) if step.kind == "base" else f"× {factor(step.by)}"


def _rows(steps: Sequence[WaterfallStep]) -> Iterator[Row]:
    for step in steps:
        words = step.reason[:1].upper() + step.reason[1:]
        yield Row(words, "" if step.kind == "base" else f"× {factor(step.by)}", share(step.probability))


def _apart(marks: Sequence[Mark]) -> Iterator[Mark]:
    last = -_MARK_ROOM
    for mark in marks:
        if mark.x - last >= _MARK_ROOM and _MARK_ROOM / 2 <= mark.x <= WIDTH - _MARK_ROOM / 2:
            last = mark.x
            yield mark


def factor(by: float) -> str:
    """A factor with two figures that count: 12, 3.4, 0.056."""
    if by >= 10:
        return number(by, 0)
    return number(by, 1) if by >= 1 else number(by, 2) if by >= 0.095 else number(by, 3)


def share(probability: float) -> str:
    """A probability in per cent, finer where it is small: what is nearly nothing shows how nearly."""
    per_cent = 100 * probability
    if per_cent >= 99.95:
        return "over 99.9%"
    if per_cent >= 9.95:
        return f"{number(per_cent, 0)}%" if per_cent < 99 else f"{number(per_cent, 1)}%"
    if per_cent >= 0.95:
        return f"{number(per_cent, 1)}%"
    return f"{number(per_cent, 2)}%" if per_cent >= 0.01 else "under 0.01%"
