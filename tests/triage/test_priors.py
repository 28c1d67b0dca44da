"""What is likely before a single sign, and what touches add."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.airpath.words import Layout, Material, Role, Suspect, TouchKind
from app.triage.inputs import Candidate, Touched
from app.triage.model import rank
from app.triage.priors import BASE_RATE, taught_rates, weigh
from app.triage.touches import freshness, touch_weight
from tests.triage.conftest import car, share

LINE = Candidate("line", Role.MANIFOLD_SMALL, "A line", material=Material.RUBBER)


def added(how: TouchKind, **more: float | bool) -> float:
    touch = Touched(
        "line",
        how,
        days_ago=float(more.get("days", 1.0)),
        km_ago=float(more.get("km", 20.0)),
        checked=bool(more.get("checked", False)),
    )
    return touch_weight(LINE, touch)[0]


def test_every_role_and_suspect_has_a_base_rate() -> None:
    assert set(BASE_RATE) == {*Role, *Suspect}
    assert all(rate > 0 for rate in BASE_RATE.values())


def test_off_and_on_adds_more_than_replaced_than_a_clamp_moved_than_leaned_on() -> None:
    weights = [
        added(how)
        for how in (TouchKind.DISCONNECTED, TouchKind.REPLACED, TouchKind.CLAMP_MOVED, TouchKind.REACHED_PAST)
    ]
    assert weights == sorted(weights, reverse=True)
    assert len(set(weights)) == 4


@given(st.floats(0, 2000), st.floats(0, 50000), st.floats(0.1, 100), st.floats(1, 1000))
def test_a_touch_fades_with_days_and_with_distance_and_never_to_nothing(
    days: float, km: float, later: float, further: float
) -> None:
    now = freshness(days, km)
    assert 0 < freshness(days + later, km) < now
    assert 0 < freshness(days, km + further) < now
    assert freshness(0, 0) == 1


def test_a_touch_without_a_date_counts_as_neither_fresh_nor_old() -> None:
    assert freshness(300, 9000) < freshness(None, None) < freshness(0, 0)


def test_a_check_recorded_afterwards_takes_most_of_the_suspicion_away() -> None:
    assert added(TouchKind.DISCONNECTED, checked=True) == pytest.approx(0.3 * added(TouchKind.DISCONNECTED))


def test_the_sentence_says_how_when_how_cold_and_of_what() -> None:
    hard = Candidate("line", Role.BOOST_CONTROL, "A line", material=Material.HARD_PLASTIC)
    touch = Touched("line", TouchKind.REACHED_PAST, 2, 85, 6, reason_label="rear brakes")
    assert touch_weight(hard, touch)[1] == "leaned on 2 days before, 85 km ago, at 6 °C, hard plastic, rear brakes"
    assert touch_weight(LINE, Touched("line", TouchKind.REPLACED, 1))[1].startswith("replaced 1 day before")
    assert touch_weight(LINE, Touched("line", TouchKind.REPLACED, 0))[1].startswith("replaced the same day")
    assert "checked afterwards" in touch_weight(LINE, Touched("line", TouchKind.REPLACED, checked=True))[1]


def test_a_roles_rate_is_split_over_its_lines_whatever_they_are_made_of(layout: Layout) -> None:
    facts, candidates = car(layout)
    totals: dict[Role | Suspect, float] = {}
    for candidate, prior in zip(candidates, weigh(candidates, [], {}), strict=True):
        totals[candidate.role] = totals.get(candidate.role, 0.0) + prior.weight
    fitted = {candidate.role: candidate.fitted for candidate in candidates}
    for role, total in totals.items():
        assert total == pytest.approx(BASE_RATE[role] * fitted[role])
    assert facts.layout is layout


def test_age_a_stopgap_and_a_weaker_material_each_raise_a_line() -> None:
    plain = Candidate("a", Role.GAUGE, "", material=Material.SILICONE)
    for other in (
        Candidate("b", Role.GAUGE, "", material=Material.SILICONE, age_years=10),
        Candidate("b", Role.GAUGE, "", material=Material.SILICONE, stopgap=True),
        Candidate("b", Role.GAUGE, "", material=Material.HARD_PLASTIC),
    ):
        first, second = weigh([plain, other], [], {})
        assert second.weight > first.weight
        assert second.factors


def test_closed_tickets_teach_as_dirichlet_counts() -> None:
    """Posterior mean of a Dirichlet prior worth 20 tickets: (20 x rate + count) / (20 + all counts)."""
    present = [Role.CHARGE, Role.GAUGE, Suspect.SOMETHING_ELSE]
    total = sum(BASE_RATE[role] for role in present)
    taught = taught_rates(present, {Role.GAUGE: 3, Role.CHARGE: 1, Role.PURGE: 7})
    assert taught[Role.GAUGE] / total == pytest.approx((20 * BASE_RATE[Role.GAUGE] / total + 3) / 24)
    assert sum(taught.values()) == pytest.approx(total)
    assert taught_rates(present, {}) == {role: BASE_RATE[role] for role in present}


def test_what_this_garage_found_before_raises_it_and_says_so() -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    before, after = rank(facts, candidates), rank(facts, candidates, taught={Role.PURGE.value: 4})
    assert share(after, Role.PURGE) > share(before, Role.PURGE)
    purge = next(suspect for suspect in after.suspects if suspect.role == Role.PURGE)
    assert any(factor.key == "taught" and factor.by > 1 for factor in purge.why)


def test_nothing_a_job_does_can_touch_the_power_limit() -> None:
    limit = Candidate("power_limit", Suspect.POWER_LIMIT, "")
    assert touch_weight(limit, Touched("power_limit", TouchKind.REPLACED, 0, 0))[0] == 0


def test_a_touch_says_by_how_much_it_raised_its_line() -> None:
    facts, candidates = car(Layout.DIRECT_SIGNAL)
    touched = candidates[0]
    ranking = rank(facts, candidates, [Touched(touched.id, TouchKind.DISCONNECTED, 1, 10)])
    suspect = next(each for each in ranking.suspects if each.id == touched.id)
    factor = next(each for each in suspect.why if each.kind == "touch")
    others = next(each for each in ranking.suspects if each.id == candidates[-1].id)
    rise = (suspect.probability / suspect.without_touches) / (others.probability / others.without_touches)
    assert factor.by == pytest.approx(rise)
