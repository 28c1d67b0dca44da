"""Steps done together: the bundle worth most a minute, by enumeration of all of them."""

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.airpath.words import Layout, Role
from app.triage.bundles import Work, already_paid, most_a_minute
from app.triage.inputs import Evidence
from app.triage.model import rank
from app.triage.signs import Need
from tests.triage.conftest import car

GAINS, MINUTES = st.floats(0.001, 1), st.floats(1, 40)


@given(st.lists(st.builds(Work, GAINS, MINUTES), min_size=1, max_size=8))
def test_with_nothing_shared_they_stand_by_information_a_minute(works: list[Work]) -> None:
    rates = [works[place].gain / works[place].minutes for place in most_a_minute(works)]
    assert rates == sorted(rates, reverse=True)


@given(st.lists(st.tuples(GAINS, MINUTES), min_size=1, max_size=7), st.floats(0.1, 60), st.booleans())
def test_of_all_that_share_some_minutes_no_other_bundle_tells_more_a_minute(
    each: list[tuple[float, float]], shared: float, by_place: bool
) -> None:
    if by_place:
        works = [Work(gain, minutes, "cover", shared) for gain, minutes in each]
    else:
        works = [Work(gain, minutes, state=Need.ENGINE_COLD, ready=shared) for gain, minutes in each]
    order = most_a_minute(works)
    assert sorted(order) == list(range(len(works)))

    def rate(places: tuple[int, ...]) -> float:
        return sum(works[at].gain for at in places) / (shared + sum(works[at].minutes for at in places))

    sizes = range(1, len(works) + 1)
    best = max(rate(those) for size in sizes for those in combinations(range(len(works)), size))
    assert max(rate(order[:size]) for size in sizes) == pytest.approx(best)


def test_two_fair_checks_behind_one_cover_come_before_a_better_one_elsewhere() -> None:
    """0.3 bits in 3 minutes each behind a cover of 10: alone 0.023 a minute, together 0.0375; elsewhere 0.03."""
    works = [Work(0.3, 10), Work(0.3, 3, "cover", 10), Work(0.3, 3, "cover", 10)]
    assert most_a_minute(works) == (1, 2, 0)
    assert most_a_minute(works[:2]) == (0, 1)


def test_a_place_within_a_state_is_a_bundle_within_a_bundle() -> None:
    cold = Need.ENGINE_COLD
    works = [
        Work(0.5, 5, state=cold, ready=60),
        Work(0.1, 30),
        Work(0.4, 2, "cover", 8, cold, 60),
        Work(0.3, 2, "cover", 8, cold, 60),
    ]
    order = most_a_minute(works)
    assert order == (0, 2, 3, 1)
    assert already_paid(works[place] for place in order) == [0, 60, 68, 0]


def test_an_open_place_stays_open_and_a_cold_engine_stays_cold_for_the_next_step_only() -> None:
    works = [
        Work(0.1, 1, "cover", 8, Need.ENGINE_COLD, 60),
        Work(0.1, 1, state=Need.ENGINE_RUNNING, ready=0),
        Work(0.1, 1, "cover", 8, Need.ENGINE_COLD, 60),
    ]
    assert already_paid(works) == [0, 0, 8]


def test_checks_behind_one_cover_are_proposed_together_while_there_are_still_questions() -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    hidden = [
        replace(each, place="undertray", access_minutes=10.0) if each.role is Role.CHARGE else each
        for each in candidates
    ]
    steps = rank(facts, hidden, (), Evidence({"hiss": "under_boost", "boost_level": "slightly_low"})).next
    assert {step.kind for step in steps} == {"ask", "check"}
    behind = {each.id for each in hidden if each.place}
    places = [number for number, step in enumerate(steps) if step.candidate_id in behind]
    assert places[:3] == list(range(places[0], places[0] + 3))
    assert [steps[place].shared for place in places[:3]] == [0, 10, 10]
