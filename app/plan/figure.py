"""The graph of a plan as places on a sheet: boxes in two columns, a layer below all that it needs, arrows between.

The sheet is as wide as a phone shows it, so that a box is as high as a finger. Arrows leave a box at its foot, run
in the gaps between the rows and, past rows that lie between, in the gutters beside the columns: none crosses a box.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import count

from app.plan.items import Item, Plan, State
from app.plan.order import edges_of, layers
from app.plan.ready import is_ready

WIDTH = 388.0
BOX_WIDTH, BOX_HEIGHT = 166.0, 76.0
_COLUMNS = (16.0, 206.0)
#: Where an arrow runs down beside the columns: left of both, between them, right of both; then how far its lanes lie
#: apart, and how many there are before they share one.
_GUTTERS = (3.0, 187.0, 376.0)
_LANE, _LANES_DOWN, _LANES_ACROSS = 4.0, 3, 6
_GAP = 40.0
#: As many letters as a box is wide, in the page's face at 15 px; rarely more than 7 px each.
_LETTERS = 22


@dataclass(frozen=True, slots=True)
class Box:
    """One item: where it lies, how it stands, and its lines of text, the last of which says its state."""

    id: str
    x: float
    y: float
    state: State
    is_ready: bool
    name: Sequence[str]
    said: str


@dataclass(frozen=True, slots=True)
class Arrow:
    """From what comes first to what needs it, as an SVG path; `tip` is its head. `is_met` once the first is fitted."""

    d: str
    tip: str
    is_met: bool


@dataclass(frozen=True, slots=True)
class Figure:
    """A whole graph; sizes in CSS pixels at the width of a phone."""

    width: float
    height: float
    boxes: Sequence[Box]
    arrows: Sequence[Arrow]


def figure(plan: Plan, said: Mapping[str, str]) -> Figure:
    """Draw the items of `plan`, each with what is `said` of its state, by id."""
    edges = edges_of(plan)
    rows: list[list[str]] = []
    column: dict[str, int] = {}
    joined = {one for item, needs in edges.items() if needs for one in (item, *needs)}
    found = layers(edges)
    # What hangs on nothing lies below the rest, where no arrow has to go round it.
    for layer in [*([one for one in layer if one in joined] for layer in found), [i for i in edges if i not in joined]]:
        placed = sorted(layer, key=lambda one: (_leaning(edges[one], column), plan.step(plan.items[one]), one))
        rows += [placed[at : at + 2] for at in range(0, len(placed), 2)]
        column |= {one: at % 2 for at, one in enumerate(placed)}
    row = {one: number for number, line in enumerate(rows) for one in line}
    boxes = [_box(plan, plan.items[one], column[one], row[one], said[one]) for line in rows for one in line]
    height = len(rows) * (BOX_HEIGHT + _GAP) - _GAP + 16 if rows else 0.0
    return Figure(WIDTH, height, boxes, _arrows(plan, edges, column, row))


def _leaning(needs: Sequence[str], column: Mapping[str, int]) -> float:
    known = [column[one] for one in needs if one in column]
    return sum(known) / len(known) if known else 0.5


def _box(plan: Plan, item: Item, column: int, row: int, said: str) -> Box:
    return Box(item.id, _COLUMNS[column], _top(row), item.state, is_ready(plan, item), wrapped(item.name), said)


def wrapped(name: str, letters: int = _LETTERS) -> list[str]:
    """A name in one or two lines of at most so many letters; what is left over ends in an ellipsis."""
    lines = [""]
    for word in name.split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > letters:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}".strip()
    if len(lines) > 2:
        lines = [lines[0], f"{lines[1]}…"]
    return [line if len(line) <= letters else f"{line[: letters - 1]}…" for line in lines]


def _top(row: int) -> float:
    return 8 + row * (BOX_HEIGHT + _GAP)


def _arrows(
    plan: Plan, edges: Mapping[str, Sequence[str]], column: Mapping[str, int], row: Mapping[str, int]
) -> list[Arrow]:
    # An edge that closes a cycle would run upwards: it is left out, and the page names the cycle.
    found = [(first, item) for item, needs in edges.items() for first in needs if row[first] < row[item]]
    leaves, comes = defaultdict(list), defaultdict(list)
    for first, item in found:
        leaves[first].append(item)
        comes[item].append(first)
    gaps: dict[int, count[int]] = defaultdict(count)
    gutters: dict[int, count[int]] = defaultdict(count)
    arrows = []
    for first, item in found:
        # Arrows leave at the left half of a foot and come in at the right half of a head, so that none seems to go on
        # from another.
        x1 = _port(column[first], leaves[first].index(item), len(leaves[first]))
        x2 = _port(column[item], comes[item].index(first), len(comes[item])) + BOX_WIDTH / 2
        y1, y2 = _top(row[first]) + BOX_HEIGHT, _top(row[item])
        out, back = _lane(row[first], gaps), row[item] - 1
        if back == row[first]:
            way = f"V{out:g}H{x2:.4g}"
        else:
            beside = 1 if column[first] != column[item] else 2 * column[item]
            x = _GUTTERS[beside] + _LANE * (next(gutters[beside]) % _LANES_DOWN)
            way = f"V{out:g}H{x:g}V{_lane(back, gaps):g}H{x2:.4g}"
        tip = f"M{x2 - 5:.4g} {y2 - 9:g}L{x2:.4g} {y2:g}L{x2 + 5:.4g} {y2 - 9:g}Z"
        arrows.append(Arrow(f"M{x1:.4g} {y1:g}{way}V{y2 - 8:g}", tip, plan.items[first].done))
    return arrows


def _port(column: int, number: int, howmany: int) -> float:
    return _COLUMNS[column] + BOX_WIDTH / 2 * (number + 1) / (howmany + 1)


def _lane(row: int, gaps: Mapping[int, "count[int]"]) -> float:
    return _top(row) + BOX_HEIGHT + 8 + _LANE * (next(gaps[row]) % _LANES_ACROSS)
