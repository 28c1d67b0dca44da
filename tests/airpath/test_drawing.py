"""The drawing of each starter layout: legible at 412 px, nothing on top of anything else, every state told by shape."""

from dataclasses import replace
from itertools import combinations

import pytest

from app.airpath.drawing import draw
from app.airpath.figure import (
    WIDTH,
    Drawing,
    DrawnComponent,
    DrawnLine,
    JointMark,
    LineLook,
    Marks,
    PlacedLine,
    Shape,
)
from app.airpath.geometry import Box, Point, Segment, box_gap, segments
from app.airpath.layouts import StarterLayout
from app.airpath.lettering import TEXT, text_width
from app.airpath.marks import HALF
from app.airpath.words import ComponentKind, End, LineState, Role

Parts = tuple[list[DrawnComponent], list[DrawnLine]]

#: Small lines that run side by side are at least this far apart, middle to middle.
LANE = 10.0

MARKS = [
    Marks(touched=True, from_joint=a, to_joint=b)
    for a in JointMark
    for b in (JointMark.UNTOUCHED, JointMark.OFF, JointMark.CHECKED)
]


@pytest.fixture
def drawing(parts: Parts) -> Drawing:
    return draw(*parts)


def _inside(box: Box, drawing: Drawing) -> bool:
    return box.x >= 0 and box.y >= 0 and box.right <= drawing.width and box.bottom <= drawing.height


def _spans(line: PlacedLine) -> list[Box]:
    return [piece.span(HALF[line.shape]) for piece in segments(line.route)]


def test_every_box_stands_just_where_the_layout_puts_it(drawing: Drawing, starter: StarterLayout) -> None:
    assert [part.box for part in drawing.boxes] == [part.box for part in starter.components]


def test_every_line_runs_just_where_the_layout_puts_it(drawing: Drawing, starter: StarterLayout) -> None:
    assert [line.route for line in drawing.lines] == [line.route for line in starter.lines]


def test_no_line_passes_through_a_box(drawing: Drawing) -> None:
    for line in drawing.lines:
        for piece in segments(line.route):
            assert [part.name for part in drawing.boxes if piece.span(0.5).meets(part.box.grown(-1))] == []


def test_no_line_brushes_a_box_that_is_not_its_own_end(drawing: Drawing, parts: Parts) -> None:
    ends = {line.id: (line.from_component, line.to_component) for line in parts[1]}
    for line in drawing.lines:
        others = [part for part in drawing.boxes if part.id not in ends[line.id]]
        for span in _spans(line):
            assert [(line.name, part.name) for part in others if box_gap(span, part.box) < 3] == []


def test_boxes_keep_clear_of_each_other_but_for_the_throttle_on_its_manifold(drawing: Drawing) -> None:
    for a, b in combinations(drawing.boxes, 2):
        if {a.kind, b.kind} != {ComponentKind.THROTTLE, ComponentKind.MANIFOLD}:
            assert box_gap(a.box, b.box) >= 10, (a.name, b.name)


def test_every_box_but_a_tee_carries_its_whole_name_within_its_edges(drawing: Drawing) -> None:
    # text_width rounds the face's own widths up; see app/airpath/lettering.py.
    for part in drawing.boxes:
        if part.kind is ComponentKind.TEE:
            assert part.labels == ()
            continue
        assert " ".join(label.text for label in part.labels) == part.name
        for label in part.labels:
            assert text_width(label.text) <= part.box.w - 4
            assert part.box.y + TEXT / 2 <= label.y <= part.box.bottom - TEXT / 2


def test_small_lines_side_by_side_keep_a_lane_apart(drawing: Drawing) -> None:
    for a, b in combinations(drawing.lines, 2):
        need = LANE + (HALF[a.shape] - HALF[Shape.HOSE]) + (HALF[b.shape] - HALF[Shape.HOSE])
        for p in segments(a.route):
            for q in segments(b.route):
                if p.upright == q.upright and _overlap(p, q) > 0:
                    assert _between(p, q) >= need, (a.name, b.name)


def _overlap(p: Segment, q: Segment) -> float:
    a, b = p.span(), q.span()
    return min(a.bottom, b.bottom) - max(a.y, b.y) if p.upright else min(a.right, b.right) - max(a.x, b.x)


def _between(p: Segment, q: Segment) -> float:
    return abs(p.a.x - q.a.x) if p.upright else abs(p.a.y - q.a.y)


def test_every_box_line_number_and_joint_lies_inside_the_drawing(parts: Parts) -> None:
    components, lines = parts
    for marks in MARKS:
        drawing = draw(components, [replace(line, marks=marks) for line in lines])
        assert drawing.width == WIDTH
        for line in drawing.lines:
            assert all(_inside(span, drawing) for span in _spans(line))
            assert _inside(line.tag, drawing)
        assert all(_inside(part.box, drawing) for part in drawing.boxes)
        assert all(_inside(Box(j.x, j.y, 0, 0).grown(j.r + 1.5), drawing) for j in drawing.joints)


def test_a_drawing_is_no_taller_than_a_phone_scrolls_once(drawing: Drawing) -> None:
    assert drawing.height <= 900


def test_every_number_stands_clear_of_boxes_other_numbers_and_other_lines(drawing: Drawing) -> None:
    for line in drawing.lines:
        assert all(not line.tag.meets(part.box) for part in drawing.boxes), line.name
        for other in drawing.lines:
            if other is not line:
                assert not line.tag.meets(other.tag), (line.name, other.name)
                assert not any(line.tag.meets(span) for span in _spans(other)), (line.name, other.name)


def test_a_number_stands_nearest_its_own_line(drawing: Drawing) -> None:
    for line in drawing.lines:
        own = min(box_gap(line.tag, span) for span in _spans(line))
        others = [box_gap(line.tag, span) for other in drawing.lines if other is not line for span in _spans(other)]
        assert own < min(others), line.name


def test_the_middle_of_a_number_is_taken_by_no_other_line(drawing: Drawing) -> None:
    for line in drawing.lines:
        for other in drawing.lines:
            if other is line:
                continue
            widths = [tap.width for tap in other.taps[:-1]]  # the last is round its own number
            for piece, width in zip(segments(other.route), widths, strict=True):
                assert not piece.span(width / 2).holds(line.tag.centre), (line.name, other.name)


def test_a_number_is_big_enough_to_tap(drawing: Drawing) -> None:
    # WCAG 2.2, success criterion 2.5.8: targets of at least 24 by 24 CSS pixels.
    assert all(line.taps[-1].width >= 24 for line in drawing.lines)


def test_lines_are_numbered_in_the_order_of_the_plain_list(drawing: Drawing, parts: Parts) -> None:
    assert [(line.number, line.id) for line in drawing.lines] == [(n, x.id) for n, x in enumerate(parts[1], start=1)]


def test_the_rings_of_one_line_do_not_lie_on_each_other(parts: Parts) -> None:
    components, lines = parts
    marks = Marks(touched=True, from_joint=JointMark.OFF, to_joint=JointMark.CHECKED)
    for line in draw(components, [replace(line, marks=marks) for line in lines]).lines:
        a, b = line.joints
        assert abs(a.x - b.x) + abs(a.y - b.y) >= a.r + b.r, line.name


TWO = [
    DrawnComponent("manifold", "Manifold", ComponentKind.MANIFOLD, 15, 15, 90, 30),
    DrawnComponent("gauge", "Gauge", ComponentKind.GAUGE, 15, 145, 90, 30),
]
HOSE = DrawnLine(
    "hose", "Gauge hose", Role.GAUGE, "manifold", "gauge", 4, (Point(60, 45), Point(60, 145)), LineState.ORIGINAL
)


def _one(line: DrawnLine) -> PlacedLine:
    return draw(TWO, [line]).lines[0]


def test_a_line_left_alone_is_plain_and_has_no_rings() -> None:
    line = _one(HOSE)
    assert line.look is LineLook.ORIGINAL
    assert line.joints == ()
    assert line.collars == ()
    assert line.d == "M60 45V145"
    assert line.label == "1 Gauge hose: original"


def test_a_line_off_at_one_end_stops_short_of_it_and_is_broken() -> None:
    line = _one(replace(HOSE, marks=Marks(touched=True, from_joint=JointMark.OFF, to_joint=JointMark.ON)))
    assert line.look is LineLook.OFF
    assert line.d == "M60 64V145"
    assert [(j.end, j.mark, j.stripe is None) for j in line.joints] == [
        (End.FROM, JointMark.OFF, True),
        (End.TO, JointMark.ON, True),
    ]
    assert line.said == "original, off at Manifold, back on, not checked at Gauge"


def test_only_a_checked_joint_carries_a_stripe_and_it_crosses_the_ring() -> None:
    line = _one(replace(HOSE, marks=Marks(touched=True, from_joint=JointMark.CHECKED)))
    [ring] = line.joints
    assert ring.stripe is not None
    assert ring.stripe.x1 < ring.x < ring.stripe.x2
    assert ring.stripe.y1 > ring.y > ring.stripe.y2
    assert line.look is LineLook.TOUCHED


def test_a_stopgap_is_dotted_with_dashed_rings_at_ends_without_news() -> None:
    line = _one(replace(HOSE, state=LineState.STOPGAP, marks=Marks(to_joint=JointMark.CHECKED)))
    assert line.look is LineLook.STOPGAP
    assert [j.mark for j in line.joints] == [JointMark.STOPGAP, JointMark.CHECKED]


def test_a_replaced_line_has_a_collar_across_each_end_until_it_is_touched() -> None:
    line = _one(replace(HOSE, state=LineState.REPLACED))
    assert line.look is LineLook.REPLACED
    assert [stroke.y1 for stroke in line.collars] == [52, 138]
    touched = _one(replace(HOSE, state=LineState.REPLACED, marks=Marks(touched=True)))
    assert touched.look is LineLook.TOUCHED
    assert touched.said == "replaced, touched lately"


def test_what_needs_a_hand_first_is_shown_first() -> None:
    loose = Marks(touched=True, to_joint=JointMark.OFF)
    assert _one(replace(HOSE, state=LineState.STOPGAP, marks=loose)).look is LineLook.OFF
    assert _one(replace(HOSE, state=LineState.STOPGAP, marks=Marks(touched=True))).look is LineLook.STOPGAP


@pytest.mark.parametrize(
    ("bore", "role", "shape"),
    [
        (60, Role.CHARGE, Shape.PIPE),
        (30, Role.BREATHER, Shape.PIPE),
        (20, Role.CHARGE, Shape.HOSE),
        (4, Role.GAUGE, Shape.HOSE),
        (None, Role.INTAKE, Shape.PIPE),
        (None, Role.GAUGE, Shape.HOSE),
    ],
)
def test_a_wide_line_is_a_pipe_and_a_narrow_one_a_hose(bore: float | None, role: Role, shape: Shape) -> None:
    assert _one(replace(HOSE, bore_mm=bore, role=role)).shape is shape


def test_a_state_moves_nothing() -> None:
    plain = _one(HOSE)
    off = _one(replace(HOSE, marks=Marks(touched=True, from_joint=JointMark.OFF)))
    assert (plain.route, plain.tag, plain.taps) == (off.route, off.tag, off.taps)


def test_a_line_to_a_component_that_is_not_there_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="line hose ends at servo"):
        _one(replace(HOSE, to_component="servo"))


def test_an_empty_air_path_is_an_empty_drawing() -> None:
    drawing = draw([], [])
    assert (drawing.lines, drawing.boxes, drawing.joints) == ((), (), ())
    assert drawing.height > 0
