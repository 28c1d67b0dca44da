"""Candidates for one position: what fits, what the plan throws away, what air does in each, when it can't be felt."""

from dataclasses import replace

import pytest

from app.airpath.candidates import Candidate, Carries, Place, carries, difference, figures, fit_of, replaced_by, usual
from app.airpath.words import Material, Role
from app.workings.pipe_flow import Air, Pipe, flow

PLACE = Place(63.0, 300.0)
HOSE = Candidate("a", "A", 63.0, 5.0, 300.0, Material.SILICONE)
CHARGE = replace(usual(Carries.CHARGE, diesel=False, ambient_kpa=101.3, boost_kpa=None), power_kw=200.0)
INTAKE = replace(usual(Carries.INTAKE, diesel=False, ambient_kpa=101.3, boost_kpa=None), power_kw=200.0)


@pytest.mark.parametrize(
    ("change", "short", "why"),
    [
        ({}, "as is", ""),
        ({"length_mm": 304.0}, "as is", ""),
        ({"length_mm": 420.0}, "cut", "120 mm to cut off."),
        ({"length_mm": 250.0}, "too short", "50 mm too short."),
        ({"length_mm": 420.0, "needs_cutting": "no"}, "as is", ""),
        ({"needs_cutting": "yes"}, "cut", "Needs cutting."),
        ({"bore_mm": 70.0, "needs_cutting": "no"}, "other bore", "7 mm wider than what is on: wants a reducer."),
        ({"length_mm": None}, "not known", "Its length or that of the place is not known."),
    ],
)
def test_whether_it_fits(change: dict[str, object], short: str, why: str) -> None:
    fit = fit_of(replace(HOSE, **change), PLACE)  # type: ignore[arg-type]
    assert (fit.short, fit.why) == (short, why)


def test_a_part_of_a_later_stage_replaces_what_goes_on_before_it() -> None:
    now, third, fourth = HOSE, replace(HOSE, id="c", step=3), replace(HOSE, id="d", step=4)
    every = [fourth, now, third]
    assert [replaced_by(one, every) for one in (now, third, fourth)] == [third, fourth, None]


def test_two_for_the_same_stage_do_not_replace_each_other() -> None:
    assert replaced_by(HOSE, [HOSE, replace(HOSE, id="b")]) is None


@pytest.mark.parametrize(
    ("role", "air"),
    [(Role.INTAKE, Carries.INTAKE), (Role.CHARGE, Carries.CHARGE), (Role.GAUGE, Carries.NONE), (None, Carries.NONE)],
)
def test_what_air_goes_through(role: Role | None, air: Carries) -> None:
    assert carries(role) is air


def test_the_figures_are_those_of_the_workings_at_the_length_it_will_have() -> None:
    airflow = 200 * 310 / 3600 * 12.5
    found = figures(replace(HOSE, length_mm=420.0), PLACE, Carries.CHARGE, CHARGE)
    assert found.flow == flow(airflow, Air(200.0, 50.0), Pipe(63.0, 300.0))
    assert found.collapse_kpa is None  # a charge pipe is pushed, not sucked


def test_a_soft_inlet_hose_has_a_margin_against_suction() -> None:
    # Roark, Table 35 case 19a, E 5 MPa (an assumption), nu 0.49, wall 4 mm, mean radius 36 mm: 2.25645 kPa
    inlet = replace(HOSE, bore_mm=68.0, wall_mm=4.0, material=Material.RUBBER)
    found = figures(inlet, PLACE, Carries.INTAKE, INTAKE)
    assert found.collapse_kpa == pytest.approx(2.25645, rel=1e-5)
    assert found.margin == pytest.approx(2.25645 / 3.0, rel=1e-5)
    assert figures(replace(inlet, material=Material.METAL), PLACE, Carries.INTAKE, INTAKE).collapse_kpa is None


def test_what_is_missing_is_said() -> None:
    assert figures(replace(HOSE, bore_mm=None), PLACE, Carries.CHARGE, CHARGE).why_not == "Its bore is not known."
    nowhere = figures(replace(HOSE, length_mm=None), Place(), Carries.CHARGE, CHARGE)
    assert nowhere.why_not == "How long it will be is not known."
    tiny = figures(replace(HOSE, bore_mm=12.0), PLACE, Carries.CHARGE, CHARGE)
    assert tiny.why_not == "215 g/s is more than a 12 mm pipe can pass."


def test_without_a_power_there_is_no_airflow_and_no_guess() -> None:
    found = figures(HOSE, PLACE, Carries.CHARGE, replace(CHARGE, power_kw=None))
    assert (found.flow, found.why_not) == (None, "")


def test_a_few_millimetres_of_bore_can_not_be_felt() -> None:
    both = [(one, figures(one, PLACE, Carries.CHARGE, CHARGE)) for one in (HOSE, replace(HOSE, id="b", bore_mm=60.0))]
    apart = difference(both, CHARGE)
    assert apart is not None
    assert (apart.best.id, apart.worst.id, apart.felt) == ("a", "b", False)


def test_a_short_neck_can_though_its_straight_run_costs_little() -> None:
    both = [
        (one, figures(one, Place(63.0, 60.0), Carries.CHARGE, CHARGE))
        for one in (HOSE, replace(HOSE, id="b", bore_mm=30.0))
    ]
    apart = difference(both, CHARGE)
    assert apart is not None
    assert apart.run_kpa < 0.01 * CHARGE.pressure_kpa < apart.most_kpa
    assert apart.felt


def test_half_the_bore_can() -> None:
    both = [(one, figures(one, PLACE, Carries.CHARGE, CHARGE)) for one in (HOSE, replace(HOSE, id="b", bore_mm=31.0))]
    apart = difference(both, CHARGE)
    assert apart is not None
    assert apart.felt


def test_one_alone_differs_from_nothing() -> None:
    assert difference([(HOSE, figures(HOSE, PLACE, Carries.CHARGE, CHARGE))], CHARGE) is None
