"""The drawing of a plan."""

import itertools
import re

from hypothesis import given

from app.plan.figure import BOX_HEIGHT, BOX_WIDTH, WIDTH, figure, wrapped
from app.plan.items import Plan
from app.plan.order import edges_of
from tests.plan.plans import plans


def _said(plan: Plan) -> dict[str, str]:
    return {item.id: item.state for item in plan.items.values()}


@given(plan=plans())
def test_every_item_is_drawn_once_on_the_sheet_and_over_no_other(plan: Plan) -> None:
    drawn = figure(plan, _said(plan))
    assert sorted(box.id for box in drawn.boxes) == sorted(plan.items)
    assert len({(box.x, box.y) for box in drawn.boxes}) == len(drawn.boxes)
    for box in drawn.boxes:
        assert 0 <= box.x <= WIDTH - BOX_WIDTH
        assert 0 <= box.y <= drawn.height - BOX_HEIGHT


@given(plan=plans(acyclic=True))
def test_what_is_needed_first_is_drawn_above(plan: Plan) -> None:
    drawn = figure(plan, _said(plan))
    top = {box.id: box.y for box in drawn.boxes}
    edges = edges_of(plan)
    for item, firsts in edges.items():
        assert all(top[first] + BOX_HEIGHT < top[item] for first in firsts)
    assert len(drawn.arrows) == sum(map(len, edges.values()))


@given(plan=plans(acyclic=True))
def test_no_arrow_runs_through_a_box(plan: Plan) -> None:
    drawn = figure(plan, _said(plan))
    for arrow in drawn.arrows:
        for (x1, y1), (x2, y2) in _strokes(arrow.d):
            for box in drawn.boxes:
                across = max(x1, x2) > box.x and min(x1, x2) < box.x + BOX_WIDTH
                down = max(y1, y2) > box.y and min(y1, y2) < box.y + BOX_HEIGHT
                assert not (across and down), (arrow, box)


def _strokes(d: str) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    x, y = map(float, re.match(r"M(\S+) ([^VH]+)", d).groups())  # type: ignore[union-attr]
    points = [(x, y)]
    for way, to in re.findall(r"([VH])([\d.]+)", d):
        x, y = (x, float(to)) if way == "V" else (float(to), y)
        points.append((x, y))
    return list(itertools.pairwise(points))


def test_a_long_name_takes_two_lines_and_no_more() -> None:
    assert wrapped("Charge pipe") == ["Charge pipe"]
    assert wrapped("Bigger front-mounted intercooler with bar and plate core") == [
        "Bigger front-mounted",
        "intercooler with bar…",
    ]
    assert all(len(line) <= 22 for line in wrapped("x" * 50))
