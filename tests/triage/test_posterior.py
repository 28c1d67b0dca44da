"""The posterior against a general Bayesian-network library, and published worked examples."""

from math import log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.airpath.words import Layout, Material, Role, Suspect, TouchKind
from app.triage.codes import GROUP_OF
from app.triage.inputs import Candidate, CheckResult, Evidence, Touched
from app.triage.knowledge.table import OUTCOMES, knowledge
from app.triage.model import kind_of, rank, standing_candidates
from app.triage.posterior import normalised
from app.triage.priors import weigh
from app.triage.signs import CODES, SIGNS
from tests.triage.conftest import Car, car, share
from tests.triage.library import by_library


def from_the_car(of: Car, touched: list[Touched], signs: dict[str, str], groups: set[str]) -> list[float]:
    facts, candidates = of
    everyone = [*candidates, *standing_candidates(facts)]
    know = knowledge(facts)
    outcomes = {sign: OUTCOMES[sign].index(outcome) for sign, outcome in signs.items() if sign in know.speaks}
    tables = {sign: [know.chance[sign][kind_of(each)] for each in everyone] for sign in outcomes}
    for group in groups:  # each group of codes is a yes or no of its own
        set_by = [know.chance[CODES][kind_of(each)][OUTCOMES[CODES].index(group)] for each in everyone]
        tables[group], outcomes[group] = [(1 - p, p) for p in set_by], 1
    return by_library([prior.weight for prior in weigh(everyone, touched, {})], tables, outcomes)


@settings(deadline=None, max_examples=40)
@given(data=st.data(), layout=st.sampled_from(list(Layout)))
def test_the_posterior_equals_a_general_librarys_on_every_real_layout(data: st.DataObject, layout: Layout) -> None:
    of = car(layout)
    facts, candidates = of
    signs = data.draw(
        st.fixed_dictionaries({}, optional={s.key: st.sampled_from(s.outcome_keys) for s in SIGNS.values()})
    )
    codes = data.draw(st.lists(st.sampled_from(sorted(GROUP_OF)), min_size=1, max_size=4))
    places = data.draw(st.lists(st.integers(0, len(candidates) - 1), max_size=3))
    touched = [Touched(candidates[place].id, TouchKind.DISCONNECTED, 3.0, 50.0) for place in places]
    ranking = rank(facts, candidates, touched, Evidence(signs, tuple(codes)))
    ours = {suspect.id: suspect.probability for suspect in ranking.suspects}
    theirs = from_the_car(of, touched, signs, {GROUP_OF[code] for code in codes})
    everyone = [*candidates, *standing_candidates(facts)]
    for candidate, p in zip(everyone, theirs, strict=True):
        assert ours[candidate.id] == pytest.approx(p, abs=1e-9)


@st.composite
def cars(draw: st.DrawFn) -> Car:
    """A random car: any facts, any lines and parts, of any material, age and bore."""
    facts, _ = car(draw(st.sampled_from(list(Layout))))
    roles: list[Role | Suspect] = [*Role, *(each for each in Suspect if each is not Suspect.SOMETHING_ELSE)]
    drawn = draw(st.lists(st.sampled_from(roles), min_size=1, max_size=60))
    return facts, tuple(
        Candidate(
            f"c{number}",
            role,
            "",
            material=draw(st.none() | st.sampled_from(list(Material))),
            age_years=draw(st.none() | st.floats(0, 40)),
            bore_mm=draw(st.none() | st.floats(2, 80)),
            stopgap=draw(st.booleans()),
        )
        for number, role in enumerate(drawn)
    )


@settings(deadline=None, max_examples=40)
@given(of=cars(), data=st.data())
def test_the_posterior_equals_a_general_librarys_on_random_networks_of_this_shape(of: Car, data: st.DataObject) -> None:
    facts, candidates = of
    signs = data.draw(
        st.fixed_dictionaries({}, optional={s.key: st.sampled_from(s.outcome_keys) for s in SIGNS.values()})
    )
    missing = [each for each in standing_candidates(facts) if each.role not in {one.role for one in candidates}]
    everyone = [*candidates, *missing]
    ours = {each.id: each.probability for each in rank(facts, candidates, (), Evidence(signs)).suspects}
    know = knowledge(facts)
    seen = {sign: OUTCOMES[sign].index(outcome) for sign, outcome in signs.items() if sign in know.speaks}
    tables = {sign: [know.chance[sign][kind_of(each)] for each in everyone] for sign in seen}
    theirs = by_library([prior.weight for prior in weigh(everyone, [], {})], tables, seen)
    assert [ours[each.id] for each in everyone] == pytest.approx(theirs, abs=1e-9)


def test_three_symptoms_of_a_boost_leak() -> None:
    """Worked example with figures of its own, confirmed by the library: hose, intercooler, wastegate, meter, bypass."""
    priors = [0.30, 0.15, 0.20, 0.15, 0.20]
    hiss, lean, short = [0.8, 0.6, 0.05, 0.02, 0.5], [0.6, 0.2, 0.05, 0.7, 0.5], [0.9, 0.9, 0.9, 0.3, 0.7]
    logs = [log(p) + log(h) + log(1 - t) + log(u) for p, h, t, u in zip(priors, hiss, lean, short, strict=True)]
    expected = [0.443031, 0.332274, 0.043842, 0.001384, 0.179469]
    assert normalised(logs) == pytest.approx(expected, abs=1e-6)
    tables = {name: [(1 - p, p) for p in row] for name, row in (("hiss", hiss), ("lean", lean), ("short", short))}
    assert by_library(priors, tables, {"hiss": 1, "lean": 0, "short": 1}) == pytest.approx(expected, abs=1e-6)


def test_the_burglar_alarm() -> None:
    """Russell and Norvig, Artificial Intelligence: A Modern Approach: P(burglary | both call) = 0.284 (from memory)."""
    worlds = [(burglary, quake, alarm) for burglary in (1, 0) for quake in (1, 0) for alarm in (1, 0)]
    alarms = {(1, 1): 0.95, (1, 0): 0.94, (0, 1): 0.29, (0, 0): 0.001}
    logs = []
    for burglary, quake, alarm in worlds:
        rings = alarms[burglary, quake]
        prior = (0.001 if burglary else 0.999) * (0.002 if quake else 0.998) * (rings if alarm else 1 - rings)
        logs.append(log(prior) + log(0.90 if alarm else 0.05) + log(0.70 if alarm else 0.01))
    chance = normalised(logs)
    assert sum(p for p, world in zip(chance, worlds, strict=True) if world[0]) == pytest.approx(0.284172, abs=1e-6)


def test_a_direct_check_weighs_in_with_its_own_error_rates(layout: Layout) -> None:
    facts, candidates = car(layout)
    looked = candidates[0]
    before = {each.id: each.probability for each in rank(facts, candidates).suspects}
    evidence = Evidence(checks=(CheckResult(looked.id, "look_and_feel", "fault"),))
    after = {each.id: each.probability for each in rank(facts, candidates, (), evidence).suspects}
    p = before[looked.id]
    assert after[looked.id] == pytest.approx(p * 0.60 / (p * 0.60 + (1 - p) * 0.05), abs=1e-12)


def test_nothing_is_ever_ruled_out_and_all_adds_up(layout: Layout) -> None:
    facts, candidates = car(layout)
    worst = {sign.key: sign.outcome_keys[-1] for sign in SIGNS.values()}
    checks = tuple(CheckResult(each.id, "look_and_feel", "fine") for each in candidates if isinstance(each.role, Role))
    ranking = rank(facts, candidates, (), Evidence(worst, ("P0171", "P0234", "P0441"), checks))
    assert all(suspect.probability > 0 for suspect in ranking.suspects)
    assert sum(suspect.probability for suspect in ranking.suspects) == pytest.approx(1)
    assert sum(role.probability for role in ranking.roles) == pytest.approx(1)


def test_something_else_is_always_there_and_rises_when_the_signs_fit_nothing(layout: Layout) -> None:
    facts, candidates = car(layout)
    signs = {"idle_needle": "flicking", "brake_pedal": "normal", "exhaust_smoke": "blue", "hiss": "none"}
    before, after = (
        rank(facts, candidates, (), Evidence(each)) for each in ({}, signs | {"vacuum_recovery": "prompt"})
    )

    assert share(after, Suspect.SOMETHING_ELSE) > 2 * share(before, Suspect.SOMETHING_ELSE)


def test_a_strangers_id_and_an_unknown_outcome_are_refused(layout: Layout) -> None:
    facts, candidates = car(layout)
    with pytest.raises(KeyError, match="nobody"):
        rank(facts, candidates, [Touched("nobody", TouchKind.REPLACED)])
    with pytest.raises(KeyError, match="nobody"):
        rank(facts, candidates, (), Evidence(checks=(CheckResult("nobody", "smoke", "fine"),)))
    with pytest.raises(ValueError, match="purple"):
        rank(facts, candidates, (), Evidence({"exhaust_smoke": "purple"}))


def test_without_touches_is_what_the_ranking_would_be_had_nothing_been_touched(layout: Layout) -> None:
    facts, candidates = car(layout)
    evidence = Evidence({"hiss": "at_idle"})
    touched = [Touched(candidates[0].id, TouchKind.DISCONNECTED, 1.0, 10.0)]
    untouched = {each.id: each.probability for each in rank(facts, candidates, (), evidence).suspects}
    for suspect in rank(facts, candidates, touched, evidence).suspects:
        assert suspect.without_touches == pytest.approx(untouched[suspect.id], abs=1e-12)


def test_what_touches_brought_is_the_part_of_the_weight_they_added(layout: Layout) -> None:
    facts, candidates = car(layout)
    touched = [
        Touched(candidates[0].id, TouchKind.DISCONNECTED, 1.0),
        Touched(candidates[0].id, TouchKind.REPLACED, 9.0),
    ]
    prior = weigh(candidates, touched, {})[0]
    ranking = rank(facts, candidates, touched, Evidence({"hiss": "at_idle"}))
    for suspect in ranking.suspects:
        share_of_it = (prior.weight - prior.untouched) / prior.weight if suspect.id == candidates[0].id else 0.0
        assert suspect.from_touches == pytest.approx(share_of_it, abs=1e-12)


def test_the_order_without_touches_is_that_of_a_car_nobody_touched(layout: Layout) -> None:
    facts, candidates = car(layout)
    touched = [Touched(each.id, TouchKind.DISCONNECTED, 1.0, 10.0) for each in candidates[3:6]]
    evidence = Evidence({"hiss": "at_idle"})
    untouched = {each.id: each.probability for each in rank(facts, candidates, (), evidence).suspects}
    found = [untouched[each.id] for each in rank(facts, candidates, touched, evidence).without_touches]
    assert found == sorted(untouched.values(), reverse=True)
