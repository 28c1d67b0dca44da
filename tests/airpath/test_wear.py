"""Which hose to replace next: what counts, what counts more, and what never counts alone."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.airpath.wear import SERVICE_YEARS, Heat, Hose, When, heat_of, judge, service_years
from app.airpath.words import ComponentKind, Material, Role

NEW = Hose(Role.CHARGE, Material.SILICONE, Heat.WARM, 0.5)
SOON = list(When)

hoses = st.builds(
    Hose,
    st.sampled_from(Role),
    st.none() | st.sampled_from(Material),
    st.sampled_from(Heat),
    st.none() | st.floats(0, 40),
    st.booleans(),
    st.none() | st.floats(0.5, 20),
    st.booleans(),
    st.lists(st.just("a split"), max_size=2).map(tuple),
    st.lists(st.just("a rub mark"), max_size=2).map(tuple),
    st.booleans(),
    st.integers(0, 9),
)


def test_a_new_hose_that_nothing_speaks_against_stays() -> None:
    assert (judge(NEW).when, judge(NEW).reasons) == (When.GOOD, ())


@pytest.mark.parametrize("change", [{"stopgap": True}, {"act": ("split at the elbow",)}])
def test_a_stopgap_or_a_finding_to_act_on_is_for_now(change: dict[str, object]) -> None:
    assert judge(replace(NEW, **change)).when is When.NOW  # type: ignore[arg-type]


def test_what_is_brittle_is_said_in_the_fitter_s_own_words() -> None:
    said = judge(replace(NEW, watch=("brown and brittle",)))
    assert (said.when, said.reasons[0].text) == (When.SOON, "to watch: brown and brittle")


def test_heat_makes_the_same_years_count_for_more() -> None:
    old = Hose(Role.CHARGE, Material.RUBBER, Heat.COOL, 6.0)
    assert [judge(replace(old, heat=heat)).points for heat in Heat] == [0, 1, 3]


def test_ten_degrees_more_halve_the_years() -> None:
    # Arrhenius (the form of ISO 11346), 80 kJ/mol: 2.118 from 80 to 90 °C, so about as much from 70 to 80
    warm, hot = (service_years(Material.RUBBER, heat) for heat in (Heat.WARM, Heat.HOT))
    assert warm == SERVICE_YEARS[Material.RUBBER]
    assert hot is not None
    assert warm / hot == pytest.approx(2.21, abs=0.01)


def test_what_its_maker_says_comes_before_the_usual_years() -> None:
    said = judge(replace(NEW, age_years=4.0, says_years=4.0))
    assert (said.when, said.reasons[0].text) == (When.SOON, "4 years old; its maker says 4 years")


def test_metal_does_not_age() -> None:
    assert judge(Hose(Role.CHARGE, Material.METAL, Heat.HOT, 30.0)).when is When.GOOD


def test_a_line_as_it_came_is_watched_even_where_its_known_years_are_few() -> None:
    said = judge(Hose(Role.BREATHER, Material.RUBBER, Heat.WARM, 0.2, at_least=True))
    assert said.when is When.WATCH
    assert said.reasons[0].text == "at least 2 months old; rubber in the engine bay serves about 10 years"


def test_what_hangs_on_it_counts_only_when_something_speaks_against_it() -> None:
    servo = Hose(Role.BRAKE_SERVO, Material.RUBBER, Heat.COOL, 1.0)
    assert judge(servo).when is When.GOOD
    assert judge(replace(servo, worked_on=3)).points == 2


@given(hoses, st.sampled_from(["stopgap", "bad"]))
def test_one_more_thing_against_it_never_makes_it_less_urgent(hose: Hose, name: str) -> None:
    worse = replace(hose, **{name: True})  # type: ignore[arg-type]
    assert SOON.index(judge(worse).when) <= SOON.index(judge(hose).when)


@given(hoses, st.floats(0, 20))
def test_more_years_never_make_it_less_urgent(hose: Hose, more: float) -> None:
    older = replace(hose, age_years=None if hose.age_years is None else hose.age_years + more)
    assert SOON.index(judge(older).when) <= SOON.index(judge(hose).when)


@given(hoses)
def test_whatever_is_not_good_says_why_the_weightiest_first(hose: Hose) -> None:
    said = judge(hose)
    points = [reason.points for reason in said.reasons]
    assert points == sorted(points, reverse=True)
    assert (said.when is When.GOOD) == (points == [])
    assert all(reason.text for reason in said.reasons)


@pytest.mark.parametrize(
    ("ends", "heat"),
    [
        ({ComponentKind.TURBOCHARGER, ComponentKind.AIR_FILTER}, Heat.HOT),
        ({ComponentKind.AIR_FILTER, ComponentKind.AIRFLOW_SENSOR}, Heat.COOL),
        ({ComponentKind.MANIFOLD, ComponentKind.GAUGE}, Heat.WARM),
        (set(), Heat.WARM),
    ],
)
def test_how_warm_a_line_lives_follows_from_what_it_connects(ends: set[ComponentKind], heat: Heat) -> None:
    assert heat_of(ends) is heat
