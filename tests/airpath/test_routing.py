"""A car edited by its owner still draws sensibly: added lines find a way, added components find a place."""

from collections.abc import Callable
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from app.airpath.drawing import draw
from app.airpath.figure import Drawing, DrawnComponent, DrawnLine
from app.airpath.geometry import Point, segments
from app.airpath.layouts import StarterLayout, load
from app.airpath.words import ComponentKind, Layout, Role

Parts = tuple[list[DrawnComponent], list[DrawnLine]]

FOLDER = Path(__file__).parents[2] / "seed_data" / "layouts"


def _holds_together(drawing: Drawing, lines: list[DrawnLine]) -> None:
    boxes = {part.id: part.box for part in drawing.boxes}
    for line, placed in zip(lines, drawing.lines, strict=True):
        assert boxes[line.from_component].on_edge(placed.route[0])
        assert boxes[line.to_component].on_edge(placed.route[-1])
        assert all(0 <= p.x <= drawing.width and 0 <= p.y <= drawing.height for p in placed.route)
        assert all(piece.a.x == piece.b.x or piece.a.y == piece.b.y for piece in segments(placed.route))
        assert placed.tag.x >= 0
        assert placed.tag.right <= drawing.width
        assert all(0 <= p <= drawing.height for p in (placed.tag.y, placed.tag.bottom))


names = st.text(alphabet="abcdefgh WM", min_size=1, max_size=30)
places = st.one_of(
    st.tuples(st.none(), st.none()),
    st.tuples(st.floats(-50, 500), st.floats(-50, 900)),
)


@st.composite
def additions(draw_: st.DrawFn) -> tuple[Layout, list[DrawnComponent], list[tuple[int, int, float | None, Role]]]:
    kinds = st.sampled_from(ComponentKind)
    parts = [
        DrawnComponent(f"new{n}", draw_(names), draw_(kinds), *draw_(places)) for n in range(draw_(st.integers(0, 5)))
    ]
    ends = st.integers(0, 200)
    bores = st.one_of(st.none(), st.floats(2, 90))
    lines = draw_(st.lists(st.tuples(ends, ends, bores, st.sampled_from(Role)), max_size=6))
    return draw_(st.sampled_from(Layout)), parts, lines


@settings(max_examples=40, deadline=None)
@given(additions())
def test_whatever_is_added_starts_and_ends_at_its_boxes_inside_the_drawing(
    parts_of: Callable[[StarterLayout], Parts],
    added: tuple[Layout, list[DrawnComponent], list[tuple[int, int, float | None, Role]]],
) -> None:
    layout, parts, ends = added
    components, lines = parts_of(load(layout, FOLDER))
    components += parts
    for n, (a, b, bore, role) in enumerate(ends):
        start, end = components[a % len(components)], components[b % len(components)]
        lines.append(DrawnLine(f"added{n}", f"Added {n}", role, start.id, end.id, bore))
    _holds_together(draw(components, lines), lines)


def test_a_whole_layout_without_routes_or_places_still_draws(
    starter: StarterLayout, parts_of: Callable[[StarterLayout], Parts]
) -> None:
    components, lines = parts_of(starter)
    components = [DrawnComponent(part.id, part.name, part.kind) for part in components]
    lines = [DrawnLine(x.id, x.name, x.role, x.from_component, x.to_component, x.bore_mm) for x in lines]
    _holds_together(draw(components, lines), lines)


def test_an_added_line_goes_round_boxes_that_leave_it_room(
    starter: StarterLayout, parts_of: Callable[[StarterLayout], Parts]
) -> None:
    components, lines = parts_of(starter)
    components.append(DrawnComponent("second_gauge", "Second gauge", ComponentKind.GAUGE))
    lines.append(DrawnLine("second_hose", "Second gauge hose", Role.GAUGE, "manifold", "second_gauge", 4))
    drawing = draw(components, lines)
    for piece in segments(drawing.lines[-1].route):
        assert [part.name for part in drawing.boxes if piece.span(0.5).meets(part.box.grown(-1))] == []


def test_an_added_component_without_a_place_goes_below_all_that_have_one(
    starter: StarterLayout, parts_of: Callable[[StarterLayout], Parts]
) -> None:
    components, lines = parts_of(starter)
    components += [DrawnComponent(f"new{n}", f"New {n}", ComponentKind.OTHER) for n in range(6)]
    boxes = [part.box for part in draw(components, lines).boxes]
    given_, new = boxes[:-6], boxes[-6:]
    assert min(box.y for box in new) > max(box.bottom for box in given_)
    assert not any(a.meets(b) for n, a in enumerate(new) for b in new[n + 1 :])


def test_a_route_that_no_longer_ends_at_its_boxes_is_found_anew() -> None:
    components = [
        DrawnComponent("manifold", "Manifold", ComponentKind.MANIFOLD, 15, 15, 90, 30),
        DrawnComponent("gauge", "Gauge", ComponentKind.GAUGE, 215, 145, 90, 30),
    ]
    stale = DrawnLine("hose", "Hose", Role.GAUGE, "manifold", "gauge", 4, (Point(60, 45), Point(60, 145)))
    drawing = draw(components, [stale])
    _holds_together(drawing, [stale])


def test_added_lines_between_the_same_boxes_do_not_lie_on_each_other() -> None:
    components = [
        DrawnComponent("manifold", "Manifold", ComponentKind.MANIFOLD, 15, 15, 90, 30),
        DrawnComponent("gauge", "Gauge", ComponentKind.GAUGE, 15, 145, 90, 30),
    ]
    twins = [DrawnLine(f"hose{n}", f"Hose {n}", Role.GAUGE, "manifold", "gauge", 4) for n in range(4)]
    columns = [line.route[0] for line in draw(components, twins).lines]
    assert len(set(columns)) == 4
