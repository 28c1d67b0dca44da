"""The waterfall: every step from base rate to probability, and their product is the odds."""

from math import log, prod

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.airpath.words import Layout, Role, TouchKind
from app.triage.codes import GROUP_OF
from app.triage.inputs import Candidate, CheckResult, Evidence, Repaired, Touched
from app.triage.model import rank
from app.triage.signs import SIGNS
from app.triage.waterfall import waterfall
from app.triage.weighing import weighing
from tests.triage.conftest import Signs, car, one_of

ANY_SIGNS = st.fixed_dictionaries({}, optional={s.key: st.sampled_from(s.outcome_keys) for s in SIGNS.values()})
CODES = st.none() | st.lists(st.sampled_from(sorted(GROUP_OF)), max_size=3).map(tuple)


@settings(deadline=None, max_examples=60)
@given(
    layout=st.sampled_from(list(Layout)),
    signs=ANY_SIGNS,
    codes=CODES,
    places=st.lists(st.integers(0, 12), min_size=4, max_size=4),
    before=st.none() | ANY_SIGNS,
)
def test_the_steps_product_is_the_posterior_odds(
    layout: Layout, signs: Signs, codes: tuple[str, ...] | None, places: list[int], before: Signs | None
) -> None:
    facts, candidates = car(layout)
    touched, checked, other, repaired = (candidates[place].id for place in places)
    touches = [Touched(touched, TouchKind.DISCONNECTED, 1, 5), Touched(other, TouchKind.REACHED_PAST, 3)]
    checks = (CheckResult(checked, "look_and_feel", "fine"), CheckResult(other, "smoke", "fault"))
    evidence = Evidence(signs, codes, checks, None if before is None else Repaired(repaired, before))
    taught = {Role.CHARGE.value: 2}
    case = weighing(facts, candidates, touches, evidence, taught)
    for suspect in rank(facts, candidates, touches, evidence, taught).suspects:
        steps = waterfall(case, suspect.id)
        odds = prod(step.by for step in steps)
        assert odds == pytest.approx(steps[-1].odds, rel=1e-9)
        assert odds / (1 + odds) == pytest.approx(suspect.probability, rel=1e-9, abs=1e-12)
        assert steps[-1].probability == pytest.approx(suspect.probability, rel=1e-9, abs=1e-12)
        assert sum(log(step.by) for step in steps) == pytest.approx(steps[-1].log_odds, abs=1e-9)


def test_it_starts_at_the_base_rate_and_tells_each_fact_once_in_the_order_of_the_calculation() -> None:
    facts, _ = car(Layout.STORED_VACUUM)
    line = one_of(Layout.STORED_VACUUM, Role.GAUGE)
    candidates = [each for each in car(Layout.STORED_VACUUM)[1] if each.id != line.id]
    patched = Candidate(line.id, line.role, line.label, line.material, 9.0, line.bore_mm, stopgap=True)
    touches = [Touched(line.id, TouchKind.REPLACED, 1, 5), Touched(candidates[0].id, TouchKind.REPLACED, 1, 5)]
    checks = (CheckResult(line.id, "look_and_feel", "fault"), CheckResult(candidates[0].id, "smoke", "fine"))
    evidence = Evidence({"idle_vacuum": "slightly_low", "hiss": "at_idle"}, (), checks)
    case = weighing(facts, [patched, *candidates], touches, evidence, {Role.GAUGE.value: 2})
    steps = waterfall(case, line.id)
    kinds = [(step.kind, step.key) for step in steps]
    assert kinds == [
        ("base", "base"),
        ("prior", "taught"),
        ("prior", "wear"),
        ("prior", "stopgap"),
        ("touch", TouchKind.REPLACED),
        ("touch", "elsewhere"),
        ("sign", "idle_vacuum"),
        ("sign", "hiss"),
        ("sign", "codes"),
        ("check", line.id),
        ("check", candidates[0].id),
    ]
    assert all(step.reason for step in steps)
    up = {key: step.by > 1 for (_, key), step in zip(kinds, steps, strict=True)}
    assert up["taught"]
    assert up["stopgap"]
    assert not up["elsewhere"]
    assert up[candidates[0].id]  # another one found sound leaves more of the blame here


def test_a_sign_that_says_nothing_of_a_suspect_is_a_step_all_the_same() -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    case = weighing(facts, candidates, (), Evidence({"brake_pedal": "normal"}))
    assert [step.key for step in waterfall(case, candidates[0].id)] == ["base", "wear", "brake_pedal"]


def test_a_stranger_has_no_waterfall() -> None:
    with pytest.raises(KeyError, match="nobody"):
        waterfall(weighing(*car(Layout.STORED_VACUUM)), "nobody")
