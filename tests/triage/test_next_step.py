"""The next step: information by enumeration, and what is asked of which car."""

from dataclasses import replace
from math import log2

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.airpath.words import Layout, Role, Suspect
from app.triage.inputs import CheckResult, Evidence
from app.triage.knowledge.table import OUTCOMES, knowledge
from app.triage.model import kind_of, rank
from app.triage.next_step import check_gain, sign_gain
from app.triage.signs import CODES, SIGNS, Need
from tests.triage.conftest import car, ranked

BOOST_SIGNS = {"boost_level", "boost_stability", "lift_off_sound"}
VACUUM_SIGNS = {"first_start_vacuum", "idle_vacuum", "idle_needle", "vacuum_recovery"}


def entropy(chances: list[float]) -> float:
    return -sum(p * log2(p) for p in chances if p > 0)


def asked(layout: Layout) -> set[str]:
    return {step.key for step in ranked(layout).next if step.kind == "ask"}


def test_information_from_a_sign_equals_the_entropy_it_takes_away_by_enumeration(layout: Layout) -> None:
    facts, candidates = car(layout)
    know = knowledge(facts)
    ranking = rank(facts, candidates)
    mass: dict[str, float] = {}
    by_id = {candidate.id: candidate for candidate in candidates}
    suspects = [(s.probability, kind_of(by_id[s.id]) if s.id in by_id else s.role) for s in ranking.suspects]
    for p, kind in suspects:
        mass[kind] = mass.get(kind, 0.0) + p
    for sign in know.speaks:
        after = 0.0
        for index in range(len(OUTCOMES[sign])):
            joint = [p * know.asked[sign][kind][index] for p, kind in suspects]
            after += sum(joint) * entropy([each / sum(joint) for each in joint])
        gain = entropy([p for p, _ in suspects]) - after
        assert sign_gain(know, mass, sign) == pytest.approx(gain, abs=1e-9)


@given(p=st.floats(0.001, 0.999), hit=st.floats(0.01, 0.99), false_alarm=st.floats(0.01, 0.99))
def test_information_from_a_check_equals_the_entropy_it_takes_away_by_enumeration(
    p: float, hit: float, false_alarm: float
) -> None:
    after = 0.0
    for if_guilty, if_not in ((hit, false_alarm), (1 - hit, 1 - false_alarm)):
        shows = p * if_guilty + (1 - p) * if_not
        after += shows * entropy([p * if_guilty / shows, (1 - p) * if_not / shows])
    assert check_gain(p, hit, false_alarm) == pytest.approx(entropy([p, 1 - p]) - after, abs=1e-9)


def test_steps_stand_by_information_for_a_minutes_work(layout: Layout) -> None:
    rates = [step.gain_bits / step.minutes for step in ranked(layout).next]
    assert rates == sorted(rates, reverse=True)
    assert rates[0] > 0


def test_a_naturally_aspirated_car_is_asked_nothing_about_boost_and_a_diesel_nothing_about_throttle_vacuum() -> None:
    assert not BOOST_SIGNS & asked(Layout.NATURALLY_ASPIRATED)
    assert not (VACUUM_SIGNS | {"lift_off_sound", "fuel_trim_idle", "fuel_trim_load"}) & asked(Layout.TURBO_DIESEL)
    assert asked(Layout.STORED_VACUUM) >= BOOST_SIGNS | VACUUM_SIGNS


def test_what_has_been_seen_is_not_asked_again(layout: Layout) -> None:
    facts, candidates = car(layout)
    seen = {"hiss": "none", "idle_quality": "smooth"}
    keys = {step.key for step in rank(facts, candidates, (), Evidence(seen, ())).next if step.kind == "ask"}
    assert not keys & {*seen, CODES}


def test_every_step_says_its_minutes_its_needs_and_its_caution(layout: Layout) -> None:
    for step in ranked(layout).next:
        assert step.minutes > 0
        assert step.gain_bits >= 0
        assert step.key == CODES or step.needs
        assert step.key == CODES or step.caution
        if Need.ENGINE_COLD in step.needs:
            assert Need.ENGINE_RUNNING not in step.needs


def test_the_driver_never_reads_the_gauge() -> None:
    for sign in SIGNS.values():
        if Need.A_DRIVE in sign.needs:
            assert "never the driver" in sign.caution


def test_with_nothing_left_to_ask_the_checks_stand_in_the_order_that_finds_it_soonest() -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    seen = {sign.key: sign.healthy for sign in SIGNS.values()} | {"hiss": "under_boost", "boost_level": "slightly_low"}
    ranking = rank(facts, candidates, (), Evidence(seen, ()))
    assert ranking.next
    assert {step.kind for step in ranking.next} == {"check"}


def test_checks_behind_one_cover_are_done_together() -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    seen = {sign.key: sign.healthy for sign in SIGNS.values() if not sign.worked_out} | {
        "hiss": "under_boost",
        "boost_level": "slightly_low",
    }
    hidden = [
        replace(each, place="undertray", access_minutes=30.0) if each.role is Role.CHARGE else each
        for each in candidates
    ]
    steps = rank(facts, hidden, (), Evidence(seen, ())).next
    behind = {each.id for each in hidden if each.place}
    places = [number for number, step in enumerate(steps[:7]) if step.candidate_id in behind]
    assert places == list(range(places[0], places[0] + len(places)))


def test_a_check_that_was_made_is_not_offered_again() -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    evidence = Evidence({"brake_pedal": "hard"})
    first = next(step for step in rank(facts, candidates, (), evidence).next if step.kind == "check")
    assert first.candidate_id is not None
    made = replace(evidence, checks=(CheckResult(first.candidate_id, first.key, "fine"),))
    again = [(step.candidate_id, step.key) for step in rank(facts, candidates, (), made).next]
    assert (first.candidate_id, first.key) not in again


def test_something_else_has_no_check_of_its_own(layout: Layout) -> None:
    assert Suspect.SOMETHING_ELSE.value not in {step.candidate_id for step in ranked(layout).next}
