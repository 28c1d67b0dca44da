"""The chart as it lies on the paper: on one sheet, legible, nothing over anything else."""

from itertools import combinations
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.airpath.layouts import load
from app.airpath.words import Layout, TouchKind
from app.triage.chart.figure import Chart
from app.triage.chart.lettering import LEADING, TEXT, Run, broken, width_of
from app.triage.chart.sheet import FOOT, HEADING, HEIGHT, NARROWEST, WIDTH, Answer, Framed, fits_the_paper, sheet_of
from app.triage.chart.tree import chart_of
from app.triage.inputs import Touched
from app.triage.model import rank
from app.triage.starter import candidates_of, facts_of_starter

LAYOUTS = Path(__file__).parents[2] / "seed_data" / "layouts"
#: ISO 216 A4, 210 mm by 297 mm, within margins of 10 mm; a point is 25.4 / 72 mm.
PRINTABLE = (190 / 25.4 * 72, 277 / 25.4 * 72)


class Rect(NamedTuple):
    left: float
    top: float
    right: float
    bottom: float


def rect(it: Framed | Answer) -> Rect:
    return Rect(it.x, it.y, it.x + it.w, it.y + it.h)


def chart_for(layout: Layout, touched: dict[int, float]) -> Chart:
    starter = load(layout, LAYOUTS)
    facts, candidates = facts_of_starter(starter), candidates_of(starter)
    ids = [candidate.id for candidate in candidates if candidate.role.value != "power_limit"]
    touches = [Touched(ids[n % len(ids)], TouchKind.DISCONNECTED, days) for n, days in touched.items()]

    return chart_of(facts, candidates, lambda known: rank(facts, candidates, touches, known), fits_the_paper)


def apart(one: Rect, other: Rect) -> bool:
    return one.right <= other.left or other.right <= one.left or one.bottom <= other.top or other.bottom <= one.top


def hold_to_the_paper(chart: Chart) -> None:
    sheet = sheet_of(chart)
    assert fits_the_paper(chart)
    assert sheet.width <= PRINTABLE[0]
    assert HEADING + sheet.height + FOOT <= HEIGHT <= PRINTABLE[1]
    drawn: list[Framed | Answer] = [*sheet.boxes, *sheet.answers]
    rects = [rect(each) for each in drawn]
    for each in rects:
        assert 0 <= each.left < each.right <= sheet.width
        assert 0 <= each.top < each.bottom <= sheet.height
    assert [pair for pair in combinations(rects, 2) if not apart(*pair)] == []
    for box in drawn:
        for text in box.texts:
            assert text.x >= box.x
            assert text.x + width_of(text.line) <= box.x + box.w + 0.5, text
            assert box.y < text.y - TEXT * 0.7
            assert text.y < box.y + box.h
    assert all(box.x + NARROWEST <= WIDTH for box in sheet.boxes)


@pytest.mark.parametrize("layout", Layout)
def test_the_chart_of_a_layout_goes_on_one_sheet_with_nothing_over_anything(layout: Layout) -> None:
    hold_to_the_paper(chart_for(layout, {}))


@settings(max_examples=12, deadline=None)
@given(st.sampled_from(Layout), st.dictionaries(st.integers(0, 60), st.floats(0, 300), max_size=8))
def test_so_does_that_of_a_car_whatever_was_touched(layout: Layout, touched: dict[int, float]) -> None:
    hold_to_the_paper(chart_for(layout, touched))


def test_the_letters_are_8_points_or_more() -> None:
    assert TEXT >= 8
    assert LEADING > TEXT


def test_there_is_a_box_for_every_question_and_an_end_for_every_way() -> None:
    chart = chart_for(Layout.STORED_VACUUM, {3: 1.0})
    sheet = sheet_of(chart)
    assert [box.number for box in sheet.boxes if box.number] == [question.number for question in chart.questions]
    branches = [branch for question in chart.questions for branch in question.branches]
    assert len(sheet.answers) == len(branches) == len(sheet.boxes) - 1
    assert len(sheet.heads) == len(branches)


def test_a_line_breaks_at_spaces_and_never_within_a_share() -> None:
    line = (Run("Gauge hose, manifold to gauge\N{NO-BREAK SPACE}"), Run("62%", strong=True), Run(" and more"))
    lines = broken(line, 70)
    said = ["".join(run.text for run in each) for each in lines]
    assert " ".join(said) == "Gauge hose, manifold to gauge\N{NO-BREAK SPACE}62% and more"
    assert any("gauge\N{NO-BREAK SPACE}62%" in each for each in said)
    assert all(width_of(each) <= 70 for each in lines)
    assert len(lines) > 1


def test_a_word_wider_than_the_line_stands_out_rather_than_being_lost() -> None:
    assert broken((Run("Unbreakably-long-hose-name"),), 10) == ((Run("Unbreakably-long-hose-name"),),)
