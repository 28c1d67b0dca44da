"""The size of a leak from trims, idle vacuum and boost: published figures, and holes that were put there on purpose."""

from collections.abc import Callable

import pint
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from app.workings.leak_size import (
    Breathing,
    Figure,
    Gauge,
    Leak,
    Span,
    Untold,
    by_boost,
    by_idle_vacuum,
    by_trims,
    class_of,
    litres_a_minute,
    swallowed,
)
from app.workings.orifice import flow, flow_function

SEA, WARM = Figure(101.325), Figure(25.0)
ROOMY = settings(deadline=None, max_examples=60)


def absolute(kpa: float, within: float = 0.0) -> Gauge:
    return Gauge(Figure(kpa, within), 0)


def rounded(value: float, step: float) -> Figure:
    """A figure as an instrument with such steps shows it."""
    return Figure(round(value / step) * step, step / 2)


def holds(span: Span, truth: float) -> bool:
    return span.low - 1e-9 <= truth <= span.high + 1e-9


def test_trims_of_22_percent_at_3_grams_are_two_thirds_of_a_gram_and_a_hole_of_two_and_a_half_millimetres() -> None:
    # Balance of masses: 0.66 g/s by the plain sum, 0.696 by factors; choked flow of 0.0404 (NACA Report 1135):
    # 2.41014 and 2.47500 mm at C 0.61, 101.325 kPa and 298.15 K.
    leak = by_trims(Figure(3.0), Figure(12.0), Figure(10.0), Figure(0.0), absolute(35.0), SEA, WARM)
    assert leak.flow_gs.value == pytest.approx(0.696)
    assert leak.flow_gs.low == pytest.approx(0.66)
    assert leak.hole_mm.value == pytest.approx(2.475, rel=5e-6)
    assert leak.hole_mm.low == pytest.approx(2.41014, rel=5e-6)
    assert leak.size == "small"


@pytest.mark.parametrize("manifold", [20.0, 35.0, 53.0])
def test_a_choked_leak_does_not_mind_how_deep_the_vacuum_is(manifold: float) -> None:
    # NACA Report 1135: below 0.5283 of the air around (53.5 kPa) the flow is the same; above it, a larger hole does.
    given_vacuum, without = (
        by_trims(Figure(3.0), Figure(12.0), Figure(10.0), Figure(0.0), behind, SEA, WARM)
        for behind in (absolute(manifold), None)
    )
    assert given_vacuum.hole_mm.value == pytest.approx(without.hole_mm.value)
    shallow = by_trims(Figure(3.0), Figure(12.0), Figure(10.0), Figure(0.0), absolute(90.0), SEA, WARM)
    assert shallow.hole_mm.value > without.hole_mm.value


def test_a_gauge_up_a_mountain_counts_from_the_air_there() -> None:
    # The same 50 kPa of vacuum is 51.3 kPa absolute by the sea and 34.5 at 84.5 kPa: choked in both, in thinner air.
    vacuum = Gauge(Figure(50.0), -1)
    by_the_sea, on_top = (
        by_trims(Figure(3.0), Figure(12.0), Figure(10.0), Figure(0.0), vacuum, Figure(air), WARM).hole_mm.value
        for air in (101.325, 84.5)
    )
    assert on_top == pytest.approx(by_the_sea * (101.325 / 84.5) ** 0.5)


def test_trims_that_take_fuel_away_are_no_leak() -> None:
    leak = by_trims(Figure(3.0, 0.005), Figure(-8.0, 0.4), Figure(-2.0, 0.4), Figure(0.0, 5.0), None, SEA, WARM)
    assert leak.flow_gs.high < 0
    assert leak.size == "none"


def test_trims_within_what_they_wander_by_are_no_figure() -> None:
    leak = by_trims(Figure(12.0, 0.05), Figure(2.0, 0.4), Figure(1.0, 0.4), Figure(0.0, 5.0), None, SEA, WARM)
    assert not leak.is_sure
    assert leak.size is None


def test_litres_a_minute_say_of_which_air() -> None:
    # At 0 °C: 1 Pa·m³/s of air is 592.154 sccm and 1/(R T) of it in mass (definitions; NIST: 1 µmol/s is 1.3448 sccm).
    grams = 1.0 / (287.05287 * 273.15) * 1e3
    assert litres_a_minute(grams, 0.0) * 1e3 == pytest.approx(592.154, rel=2e-6)
    units: pint.UnitRegistry[float] = pint.UnitRegistry()
    same = (1.0 * units.pascal * units.meter**3 / units.second / (101325 * units.pascal)).to("cm**3/min").magnitude
    assert litres_a_minute(grams, 0.0) * 1e3 == pytest.approx(same)
    assert litres_a_minute(grams) == pytest.approx(litres_a_minute(grams, 0.0) * 293.15 / 273.15)


def test_classes_are_held_to_bores() -> None:
    assert [class_of(mm) for mm in (0.01, 0.99, 1.0, 4.0, 5.99, 6.0, 60.0)] == [
        *("pinhole", "pinhole", "small", "small", "small", "open", "open")
    ]
    wide = Leak(Span(0.1, 0.2, 0.3), Span(0.8, 1.5, 7.0))
    assert (wide.size, wide.may_be) == ("small", ("pinhole", "small", "open"))


def test_without_an_engine_vacuum_and_boost_tell_of_no_size() -> None:
    with pytest.raises(Untold, match="displacement"):
        by_idle_vacuum(absolute(35.0), absolute(45.0), Figure(850.0), None, Breathing(), SEA, WARM)
    with pytest.raises(Untold, match="displacement"):
        by_boost(absolute(200.0), absolute(180.0), Figure(4000.0), Breathing(), None, SEA)


def test_where_nothing_drives_the_air_no_hole_is_told() -> None:
    with pytest.raises(Untold, match="drives"):
        by_trims(Figure(3.0), Figure(12.0), Figure(10.0), Figure(0.0), absolute(101.325), SEA, WARM)
    engine = Breathing(None, Figure(2.0), Figure(0.9), Figure(40.0))
    with pytest.raises(Untold, match="drives"):
        by_boost(absolute(200.0), absolute(99.0), Figure(4000.0), engine, None, SEA)
    with pytest.raises(Untold, match="below"):
        by_idle_vacuum(absolute(35.0), absolute(102.0), Figure(850.0), None, Breathing(Figure(3.0)), SEA, WARM)


@ROOMY
@given(
    d=st.floats(0.2, 5),
    metered=st.floats(1.5, 15),
    manifold=st.floats(25, 70),
    share=st.floats(0, 1),
    celsius=st.floats(-10, 45),
    air=st.floats(80, 104),
)
def test_a_hole_put_behind_the_meter_lies_within_what_its_trims_tell(  # noqa: PLR0917
    d: float, metered: float, manifold: float, share: float, celsius: float, air: float
) -> None:
    assume(manifold < 0.9 * air)
    factor = 1 + flow(d, air, manifold, celsius) / metered
    assume(factor < 1.6)
    short = (factor**share - 1) * 100
    long = (factor ** (1 - share) - 1) * 100
    leak = by_trims(
        rounded(metered, 0.01),
        rounded(short, 100 / 128),
        rounded(long, 100 / 128),
        Figure(0.0),
        Gauge(rounded(manifold, 1.0), 0),
        rounded(air, 0.1),
        rounded(celsius, 1.0),
    )
    assert holds(leak.hole_mm, d)
    assert holds(leak.flow_gs, (factor - 1) * metered)


def balanced(lets_in: Callable[[float], float], low: float, high: float) -> float:
    """Where a balance that falls from above nought to below it crosses it."""
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if lets_in(middle) > 0 else (low, middle)
    return (low + high) / 2


@ROOMY
@given(
    d=st.floats(0.5, 6),
    litres=st.floats(1.0, 3.0),
    filling=st.floats(0.6, 0.9),
    usual=st.floats(28, 40),
    rpm=st.floats(650, 1100),
    faster=st.floats(1.0, 1.5),
    manifold_c=st.floats(20, 70),
    by_meter=st.booleans(),
)
def test_a_hole_put_behind_the_throttle_lies_within_what_idle_vacuum_tells(  # noqa: PLR0917
    d: float, litres: float, filling: float, usual: float, rpm: float, faster: float, manifold_c: float, by_meter: bool
) -> None:
    air, celsius = 100.0, 20.0
    healthy = swallowed(litres, filling, rpm, usual, manifold_c)

    def gains(kpa: float) -> float:
        throttle = healthy * flow_function(kpa / air) / flow_function(usual / air)
        return throttle + flow(d, air, kpa, celsius) - swallowed(litres, filling, rpm * faster, kpa, manifold_c)

    now = balanced(gains, 5.0, air * (1 - 1e-9))
    assume(now < 0.9 * air)
    breathes = (
        Breathing(healthy_gs=rounded(healthy, 0.01))
        if by_meter
        else Breathing(None, Figure(litres, 0.001), Figure(0.75, 0.15), Figure(45.0, 25.0))
    )
    leak = by_idle_vacuum(
        Gauge(rounded(air - usual, 0.5), -1),
        Gauge(rounded(air - now, 0.5), -1),
        rounded(rpm * faster, 1.0),
        rounded(rpm, 1.0),
        breathes,
        rounded(air, 0.1),
        rounded(celsius, 1.0),
    )
    assert holds(leak.hole_mm, d)


@ROOMY
@given(
    d=st.floats(2, 20),
    litres=st.floats(1.0, 3.0),
    filling=st.floats(0.79, 1.01),
    aim=st.floats(150, 260),
    rpm=st.floats(2500, 6000),
    celsius=st.floats(21, 69),
    by_meter=st.booleans(),
)
def test_a_hole_put_in_the_charge_side_lies_within_what_boost_tells(  # noqa: PLR0917
    d: float, litres: float, filling: float, aim: float, rpm: float, celsius: float, by_meter: bool
) -> None:
    air = 100.0
    moved = swallowed(litres, filling, rpm, aim, celsius)
    reached = balanced(
        lambda kpa: moved - swallowed(litres, filling, rpm, kpa, celsius) - flow(d, kpa, air, celsius), air, aim
    )
    assume(reached > air + 10)
    leak = by_boost(
        Gauge(rounded(aim - air, 1.0), 1),
        Gauge(rounded(reached - air, 1.0), 1),
        rounded(rpm, 10.0),
        Breathing(None, Figure(litres, 0.001), Figure(0.9, 0.12), Figure(45.0, 25.0)),
        rounded(moved, 0.1) if by_meter else None,
        rounded(air, 0.1),
    )
    assert holds(leak.hole_mm, d)


@given(st.floats(0.5, 5.0), st.floats(0.0, 0.3))
def test_coarser_figures_never_tell_more(airflow: float, within: float) -> None:
    fine, coarse = (
        by_trims(Figure(airflow, give), Figure(12.0, 0.4), Figure(10.0, 0.4), Figure(0.0), None, SEA, WARM).hole_mm
        for give in (within / 2, within)
    )
    assert coarse.low <= fine.low <= fine.high <= coarse.high
