"""A second fault, the first being repaired: against the explicit network of both, and by what a fitter would expect."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.airpath.words import Layout, Role, Suspect, TouchKind
from app.triage.codes import GROUP_OF
from app.triage.inputs import CheckResult, Evidence, Repaired, Touched
from app.triage.knowledge.table import OUTCOMES, knowledge
from app.triage.model import kind_of, rank, with_standing
from app.triage.priors import weigh
from app.triage.seen import Seen
from app.triage.signs import CODES, SIGNS
from app.triage.two_faults import DID_NOT_HOLD, repaired_once, shown_before
from tests.triage.conftest import Signs, car, one_of, share
from tests.triage.library import second_by_library

ANY_SIGNS = st.fixed_dictionaries({}, optional={s.key: st.sampled_from(s.outcome_keys) for s in SIGNS.values()})
BOOST = {"boost_level": "slightly_low", "hiss": "under_boost", "boost_stability": "steady"}


def after_repair(role: Role | Suspect, before: Signs, since: Signs) -> Evidence:
    return Evidence(since, repaired=Repaired(one_of(Layout.STORED_VACUUM, role).id, before))


@settings(deadline=None, max_examples=30)
@given(
    data=st.data(),
    layout=st.sampled_from(list(Layout)),
    before=ANY_SIGNS,
    since=ANY_SIGNS,
    codes=st.lists(st.sampled_from(sorted(GROUP_OF)), max_size=3),
)
def test_the_second_suspects_equal_an_explicit_network_of_two_faults(
    data: st.DataObject, layout: Layout, before: Signs, since: Signs, codes: list[str]
) -> None:
    facts, candidates = car(layout)
    first = data.draw(st.integers(0, len(candidates) - 1))
    touched = [Touched(candidates[data.draw(st.integers(0, len(candidates) - 1))].id, TouchKind.REPLACED, 2.0, 9.0)]
    evidence = Evidence(since, repaired=Repaired(candidates[first].id, before, tuple(codes)))
    ours = {each.id: each.probability for each in rank(facts, candidates, touched, evidence).suspects}
    know = knowledge(facts)
    everyone = with_standing(facts, candidates)

    def told(signs: Signs) -> dict[str, tuple[list[tuple[float, ...]], int]]:
        return {
            sign: ([know.chance[sign][kind_of(each)] for each in everyone], OUTCOMES[sign].index(outcome))
            for sign, outcome in signs.items()
            if sign in know.speaks
        }

    seen_before = told(before)
    for group in {GROUP_OF[code] for code in codes} or {"no_codes"}:
        place = OUTCOMES[CODES].index(group)
        set_by = [know.chance[CODES][kind_of(each)][place] for each in everyone]
        # Codes are set when either fault sets them; "none stored" is what is healthy.
        yes_no: list[tuple[float, ...]] = [(p, 1 - p) if group == "no_codes" else (1 - p, p) for p in set_by]
        seen_before[group] = (yes_no, 0 if group == "no_codes" else 1)
    weights = repaired_once([prior.weight for prior in weigh(everyone, touched, {})], first)
    theirs = second_by_library(weights, first, seen_before, told(since))
    assert [ours[each.id] for each in everyone] == pytest.approx(theirs, abs=1e-9)


def test_what_two_faults_show_adds_up_to_one_over_the_outcomes_of_every_sign(layout: Layout) -> None:
    know = knowledge(car(layout)[0])
    kinds = sorted({kind_of(each) for each in car(layout)[1]})
    for sign in SIGNS.values():
        for first, second in zip(kinds, reversed(kinds), strict=True):
            seen = [Seen(sign.key, outcome, index, "") for index, outcome in enumerate(sign.outcome_keys)]
            assert sum(shown_before(know, each, first, second) for each in seen) == pytest.approx(1, abs=1e-12)
            both = [shown_before(know, each, first, second) for each in seen]
            assert both == pytest.approx([shown_before(know, each, second, first) for each in seen], abs=1e-12)


def test_with_nothing_seen_since_a_repair_fails_as_often_as_repairs_do() -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    first = candidates[0]
    ranking = rank(facts, candidates, (), Evidence(repaired=Repaired(first.id)))
    assert ranking.given == first.id
    again = next(each for each in ranking.suspects if each.id == first.id)
    assert again.probability == pytest.approx(DID_NOT_HOLD)
    assert again.from_touches == 0


def test_what_the_first_fault_explains_speaks_little_for_a_second() -> None:
    """Boost was low for the pipe that was off; a hard pedal since is the servo's, and the old signs leave it so."""
    facts, candidates = car(Layout.STORED_VACUUM)
    since = {"brake_pedal": "hard", "boost_level": "on_target"}
    evidence = after_repair(Role.CHARGE, BOOST, since)
    ranking = rank(facts, candidates, (), evidence)
    assert ranking.suspects[0].role == Role.BRAKE_SERVO
    as_one = rank(facts, candidates, (), Evidence(BOOST | since))
    assert share(ranking, Role.BRAKE_SERVO) > share(as_one, Role.BRAKE_SERVO)


def test_what_the_first_fault_does_not_explain_carries_over_to_the_second() -> None:
    """A slow needle before a charge pipe was mended was never the pipe's: it still points to the signal side."""
    facts, candidates = car(Layout.STORED_VACUUM)
    old = BOOST | {"vacuum_recovery": "slow"}
    carried = rank(facts, candidates, (), after_repair(Role.CHARGE, old, {}))
    nothing = rank(facts, candidates, (), after_repair(Role.CHARGE, BOOST, {}))
    signal = (Role.DIVERTER_SIGNAL, Role.VACUUM_STORE, Suspect.CHANGEOVER_SOLENOID)
    assert share(carried, *signal) > 2 * share(nothing, *signal)


def test_the_same_signs_again_say_that_the_repair_may_not_have_held_and_a_check_of_it_settles_that() -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    pipe = one_of(Layout.STORED_VACUUM, Role.CHARGE).id

    def again(*checks: CheckResult) -> float:
        evidence = Evidence(BOOST, None, checks, Repaired(pipe, BOOST, checks=(CheckResult(pipe, "smoke", "fault"),)))
        return next(each.probability for each in rank(facts, candidates, (), evidence).suspects if each.id == pipe)

    assert again() > DID_NOT_HOLD
    assert again(CheckResult(pipe, "pressure_test", "fine")) < again()
    assert again(CheckResult(pipe, "pressure_test", "fault")) > 0.5 > again()


def test_a_check_from_before_the_repair_counts_unless_it_was_of_what_is_repaired() -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    pipe, store = (one_of(Layout.STORED_VACUUM, role).id for role in (Role.CHARGE, Role.VACUUM_STORE))

    def chances(*checks: CheckResult) -> dict[str, float]:
        evidence = Evidence(repaired=Repaired(pipe, BOOST, checks=checks))
        return {each.id: each.probability for each in rank(facts, candidates, (), evidence).suspects}

    assert chances(CheckResult(pipe, "smoke", "fault")) == chances()
    assert chances(CheckResult(store, "smoke", "fine"))[store] < chances()[store]


def test_reasons_say_what_was_before_the_repair_and_what_is_given() -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    pipe = one_of(Layout.STORED_VACUUM, Role.CHARGE)
    ranking = rank(facts, candidates, (), after_repair(Role.CHARGE, BOOST, {"hiss": "none"}))
    again = next(each for each in ranking.suspects if each.id == pipe.id)
    other = next(each for each in ranking.suspects if each.id != pipe.id)
    assert any("about 1 repair in 10 does not hold" in factor.reason for factor in again.why)
    assert any(f"before {pipe.label} was repaired, " in factor.reason for factor in other.why)
    assert any("beside that fault, " in factor.reason for factor in other.why)
    assert any(factor.reason.startswith("nothing hisses: ") for factor in other.why)


def test_a_sign_seen_before_the_repair_is_asked_again() -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    steps = rank(facts, candidates, (), after_repair(Role.CHARGE, BOOST, {"hiss": "none"})).next
    asked = {step.key for step in steps if step.kind == "ask"}
    assert "boost_level" in asked
    assert "hiss" not in asked


def test_a_stranger_cannot_have_been_repaired() -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    with pytest.raises(KeyError, match="nobody"):
        rank(facts, candidates, (), Evidence(repaired=Repaired("nobody")))
