"""The chart is the model's own policy: every box, branch and end is what the model says when asked again."""

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from app.airpath.layouts import load
from app.airpath.words import Layout, TouchKind
from app.triage.at_hand import TOOLS, AtHand
from app.triage.chart.figure import Again, Branch, Chart, End, Ending, Place, Question
from app.triage.chart.growth import (
    LEADS_AT,
    LEADS_BY,
    WORTH_A_BRANCH,
    answered,
)
from app.triage.chart.sheet import fits_the_paper
from app.triage.chart.tree import chart_of
from app.triage.facts import Facts
from app.triage.inputs import Candidate, Evidence, Touched
from app.triage.knowledge.table import OUTCOMES
from app.triage.model import Ranking, rank
from app.triage.signs import CODES
from app.triage.starter import candidates_of, facts_of_starter

LAYOUTS = Path(__file__).parents[2] / "seed_data" / "layouts"


class Car:
    """A car of a layout, perhaps with a hose that was off the day before."""

    def __init__(self, layout: Layout, *, touched: bool) -> None:
        starter = load(layout, LAYOUTS)
        self.facts: Facts = facts_of_starter(starter)
        self.candidates: list[Candidate] = candidates_of(starter)
        line = next(each for each in self.candidates if each.role.value == "manifold_small")
        off = (Touched(line.id, TouchKind.DISCONNECTED, days_ago=1.0),)
        self.touched: tuple[Touched, ...] = off if touched else ()
        self.taught = {"boost_control": 3} if touched else {}

    def ranked(self, evidence: Evidence) -> Ranking:
        return rank(self.facts, self.candidates, self.touched, evidence, self.taught)

    def chart(self) -> Chart:
        return chart_of(self.facts, self.candidates, self.ranked, fits_the_paper)


CARS = [(layout, touched) for layout in Layout for touched in (False, True)]


@cache
def car_and_chart(layout: Layout, touched: bool) -> tuple[Car, Chart]:
    car = Car(layout, touched=touched)
    return car, car.chart()


@pytest.fixture(params=CARS, ids=lambda each: f"{each[0]}{'-touched' if each[1] else ''}")
def drawn(request: pytest.FixtureRequest) -> tuple[Car, Chart]:
    return car_and_chart(*request.param)


def ways(place: Place, known: Evidence) -> Iterator[tuple[Evidence, Place]]:
    """Every place of a chart with the answers that lead to it: of answers taken together, each in turn."""
    yield known, place
    if isinstance(place, Question):
        for branch in place.branches:
            for evidence in answers(place, branch, known):
                yield from ways(branch.to, evidence)


def answers(box: Question, branch: Branch, known: Evidence) -> list[Evidence]:
    return [answered(known, box.work.step, outcome) for outcome in branch.outcomes]


def boxes(chart: Chart) -> Iterator[tuple[Evidence, Question]]:
    return ((known, place) for known, place in ways(chart.top, Evidence()) if isinstance(place, Question))


def test_every_box_is_the_step_the_model_would_take_there(drawn: tuple[Car, Chart]) -> None:
    car, chart = drawn
    met = [(box.number, box.work.step, car.ranked(known).next[0]) for known, box in boxes(chart)]
    assert len(met) >= 4
    assert [number for number, drawn_step, step in met if drawn_step != step] == []
    assert [number for number, _, _ in met] == list(range(1, len(met) + 1))


def test_the_answers_of_a_box_sum_to_one_and_name_every_outcome_once(drawn: tuple[Car, Chart]) -> None:
    _, chart = drawn
    for box in chart.questions:
        assert sum(branch.probability for branch in box.branches) == pytest.approx(1.0, abs=1e-9)
        outcomes = [outcome for branch in box.branches for outcome in branch.outcomes]
        known = ("fault", "fine") if box.work.step.kind == "check" else OUTCOMES[box.work.step.key]
        assert sorted(outcomes) == sorted(known)


def test_what_the_answers_leave_each_suspect_with_averages_to_what_it_had(drawn: tuple[Car, Chart]) -> None:
    """The law of total probability, with nothing but the model's own rankings: it holds for no other branch figures.

    A question for codes expects one group or none, but each code read counts by itself, so it is left out.
    """
    car, chart = drawn
    for known, box in boxes(chart):
        single = all(len(branch.outcomes) == 1 for branch in box.branches)
        if box.work.step.key == CODES or not single:
            continue
        before = {each.id: each.probability for each in car.ranked(known).suspects}
        after = dict.fromkeys(before, 0.0)
        for branch in box.branches:
            (evidence,) = answers(box, branch, known)
            for suspect in car.ranked(evidence).suspects:
                after[suspect.id] += branch.probability * suspect.probability
        assert after == pytest.approx(before, abs=1e-9)


def test_reach_is_the_product_of_the_answers_on_the_way(drawn: tuple[Car, Chart]) -> None:
    def walk(place: Place, reach: float) -> None:
        if isinstance(place, Question):
            assert place.reach == pytest.approx(reach)
            for branch in place.branches:
                walk(branch.to, reach * branch.probability)

    walk(drawn[1].top, 1.0)


def test_replaying_the_answers_to_an_end_names_its_suspects_and_its_check(drawn: tuple[Car, Chart]) -> None:
    car, chart = drawn
    ends = 0
    for known, box in boxes(chart):
        for branch in box.branches:
            if not isinstance(branch.to, Ending) or branch.to.why is End.OTHERWISE:
                continue
            ends += 1
            for evidence in answers(box, branch, known):
                ranking = car.ranked(evidence)
                leads = branch.to.leads
                assert [each.id for each in ranking.suspects[: len(leads)]] == [lead.id for lead in leads]
                check = next((step for step in ranking.next if step.kind == "check"), None)
                drawn_check = branch.to.check and branch.to.check.step
                assert (drawn_check and (drawn_check.key, drawn_check.candidate_id)) == (
                    check and (check.key, check.candidate_id)
                )
                if len(branch.outcomes) == 1:
                    assert [lead.probability for lead in leads] == [
                        each.probability for each in ranking.suspects[: len(leads)]
                    ]
    assert ends >= 6


def test_answers_taken_together_give_each_suspect_its_average(drawn: tuple[Car, Chart]) -> None:
    car, chart = drawn
    for known, box in boxes(chart):
        for branch in box.branches:
            if not isinstance(branch.to, Ending) or len(branch.outcomes) < 2 or branch.to.why is End.OTHERWISE:
                continue
            for place, lead in enumerate(branch.to.leads):
                each = [car.ranked(one).suspects[place].probability for one in answers(box, branch, known)]
                assert min(each) <= lead.probability <= max(each)


def test_where_one_suspect_leads_clearly_nothing_more_is_asked(drawn: tuple[Car, Chart]) -> None:
    car, chart = drawn
    for known, place in ways(chart.top, Evidence()):
        first, second = car.ranked(known).suspects[:2]
        clear = first.probability >= LEADS_AT and first.probability >= LEADS_BY * second.probability
        if isinstance(place, Question):
            assert not clear
        elif isinstance(place, Ending) and place.why is not End.OTHERWISE:
            assert (place.why is End.CLEAR) == clear


def test_only_unlikely_answers_are_drawn_as_one_and_the_likeliest_stands_last(drawn: tuple[Car, Chart]) -> None:
    for box in drawn[1].questions:
        *_, last = box.branches
        for branch in box.branches:
            if isinstance(branch.to, Ending) and branch.to.why is End.OTHERWISE:
                assert branch is not last
                assert len(branch.outcomes) > 1
                assert branch.probability < len(branch.outcomes) * WORTH_A_BRANCH


def test_no_two_answers_of_a_box_say_the_same(drawn: tuple[Car, Chart]) -> None:
    for box in drawn[1].questions:
        said = [
            (branch.to.check and branch.to.check.name, branch.to.why, tuple(lead.id for lead in branch.to.leads))
            for branch in box.branches
            if isinstance(branch.to, Ending)
        ]
        assert len(set(said)) == len(said)
        assert len(box.branches) > 1


def test_go_on_at_leads_to_the_same_step_with_the_same_suspects_leading() -> None:
    """Two answers may leave the same to ask of the same suspects: then the second way goes on in the first one's."""
    met = 0
    for layout, touched in CARS:
        car = Car(layout, touched=touched)
        chart = chart_of(car.facts, car.candidates, car.ranked, lambda chart: len(chart.questions) <= 40)
        by_number = {box.number: known for known, box in boxes(chart)}
        for known, place in ways(chart.top, Evidence()):
            if isinstance(place, Again):
                met += 1
                here, there = car.ranked(known), car.ranked(by_number[place.number])
                assert here.next[0].key == there.next[0].key
                assert here.next[0].candidate_id == there.next[0].candidate_id
                assert [each.id for each in here.suspects[:3]] == [each.id for each in there.suspects[:3]]
                assert known.signs.keys() == by_number[place.number].signs.keys()
    assert met > 0


def test_the_same_case_gives_the_same_chart() -> None:
    first, second = (Car(Layout.STORED_VACUUM, touched=True).chart() for _ in range(2))
    assert first == second


def test_what_was_touched_moves_the_chart() -> None:
    assert car_and_chart(Layout.STORED_VACUUM, True)[1] != car_and_chart(Layout.STORED_VACUUM, False)[1]


def test_what_is_known_already_is_not_asked() -> None:
    car = Car(Layout.DIRECT_SIGNAL, touched=False)
    known = Evidence({"idle_quality": "hunting", "hiss": "none"}, codes=())
    chart = chart_of(car.facts, car.candidates, car.ranked, fits_the_paper, known)
    assert isinstance(chart.top, Question)
    assert chart.top.work.step == car.ranked(known).next[0]
    assert not {"idle_quality", "hiss", "codes"} & {box.work.step.key for box in chart.questions}


def test_where_nothing_fits_the_first_question_is_there_all_the_same() -> None:
    car = Car(Layout.DIRECT_SIGNAL, touched=False)
    chart = chart_of(car.facts, car.candidates, car.ranked, lambda _: False)
    assert len(chart.questions) == 1


def test_a_fault_found_already_is_an_end_and_no_box() -> None:
    car = Car(Layout.DIRECT_SIGNAL, touched=True)
    known = Evidence()
    for _ in range(3):
        check = next(step for step in car.ranked(known).next if step.candidate_id == car.touched[0].candidate_id)
        known = answered(known, check, "fault")
    chart = chart_of(car.facts, car.candidates, car.ranked, fits_the_paper, known)
    assert isinstance(chart.top, Ending)
    assert chart.top.why is End.CLEAR
    assert chart.questions == ()


def test_nothing_is_asked_that_needs_a_tool_the_garage_has_not_got() -> None:
    car = Car(Layout.STORED_VACUUM, touched=True)
    no_tools = AtHand(tools=frozenset())
    chart = chart_of(
        car.facts,
        car.candidates,
        lambda known: rank(car.facts, car.candidates, car.touched, known, at_hand=no_tools),
        fits_the_paper,
    )
    ends = [branch.to for box in chart.questions for branch in box.branches if isinstance(branch.to, Ending)]
    steps = [box.work.step for box in chart.questions] + [end.check.step for end in ends if end.check]
    assert len(steps) > 10
    assert [step for step in steps if TOOLS & set(step.needs)] == []
