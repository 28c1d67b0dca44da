"""The phone turns a reading to SI, places it and learns from it as the garage does."""

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser

from app.airpath.readings import READINGS, ReadingKind
from app.records.baselines import BaselineView
from app.records.shown import Scale, decimals
from app.records.si import si_of, unit_in_si
from app.workings.spread import Baseline, learn, place
from tests.browser.conftest import SCREEN
from tests.browser.pocket import put_away, run

Phone = Callable[[list[Any]], list[Any]]
FEW = settings(max_examples=20, deadline=None)
WEIGH = """const { taken, usually, placed, figure } = await bay("gauge.js");
return given.map(([fields, usual]) => {
  const one = taken(fields);
  return [one.si, one.step, figure(one.value, one.unit), usual && usually(usual, one), usual && placed(one.si, usual)];
});"""
HALF = """const { taken, learned, usually } = await bay("gauge.js");
return given.map((two) => { const read = two.map((one) => taken(one)); return usually(learned(read), read[1]); });"""
LEARN = "const { learned } = await bay('gauge.js'); return given.map(learned);"


def air_of(fields: dict[str, Any]) -> tuple[float | None, str | None, float | None]:
    return fields.get("barometer_value"), fields.get("barometer_unit"), fields.get("altitude_m")


def makes_sense(fields: dict[str, Any]) -> bool:
    kind = READINGS[ReadingKind(fields["what"])]
    try:
        si_of(kind, fields["value"], fields["unit"], fields["basis"], air_of(fields))
    except ValueError:
        return False
    return True


@st.composite
def readings(draw: st.DrawFn) -> dict[str, Any]:
    """A reading that makes sense, as a form says it: pressures of a road car, in any unit and on any basis."""
    what = draw(st.sampled_from([kind for kind in ReadingKind if READINGS[kind].quantity == "pressure"]))
    kind = READINGS[what]
    unit = draw(st.sampled_from(kind.units))
    value = round(draw(st.floats(2, 60)) / unit_in_si(kind, unit), 3)
    airs: list[dict[str, Any]] = [{}, {"altitude_m": 1524.0}, {"barometer_value": 990.0, "barometer_unit": "mbar"}]
    air = draw(st.sampled_from(airs))
    return {"what": what.value, "unit": unit, "basis": draw(st.sampled_from(kind.bases)), "value": value, **air}


@pytest.fixture
def weigh(browser: Browser, served_demo: str) -> Any:
    context = browser.new_context(viewport=SCREEN, service_workers="block")
    page = context.new_page()
    page.goto(f"{served_demo}/cars/tern/readings")
    yield lambda script, given: run(page, script, given)
    put_away(context)


def test_a_reading_is_held_against_what_is_usual_alike(weigh: Any) -> None:
    @FEW
    @given(st.lists(st.tuples(readings().filter(makes_sense), st.floats(5, 90), st.floats(0.05, 9)), min_size=20))
    def alike(some: list[tuple[dict[str, Any], float, float]]) -> None:
        found = weigh(WEIGH, [[fields, {"centre": centre, "spread": spread}] for fields, centre, spread in some])
        for (fields, centre, spread), (si, step, figure, usually, where) in zip(some, found, strict=True):
            what, usual = ReadingKind(fields["what"]), Baseline(centre, spread, 0)
            kind = READINGS[what]
            taken = si_of(kind, fields["value"], fields["unit"], fields["basis"], air_of(fields))
            scale = Scale(what, fields["unit"], fields["basis"], taken.ambient_kpa)
            view = BaselineView("", what, kind.conditions[0], usual, fields["unit"], fields["basis"], taken.ambient_kpa)
            assert si == pytest.approx(taken.si, rel=1e-12)
            assert step == pytest.approx(unit_in_si(kind, fields["unit"]) * 10.0 ** -decimals(fields["value"]))
            assert figure == scale.figure(fields["value"])
            assert usually == f"usually {view.figures(scale)}"
            assert where == place(taken.si, usual).where

    alike()


def test_what_is_usual_half_way_between_two_figures_is_written_alike(weigh: Any) -> None:
    what, kind = ReadingKind.IDLE_VACUUM, READINGS[ReadingKind.IDLE_VACUUM]
    scale = Scale(what, "inHg", "vacuum", 101.325)
    pairs = [(low / 10, (low + 1) / 10) for low in range(150, 220)]
    found = weigh(
        HALF, [[{"what": what, "unit": "inHg", "basis": "vacuum", "value": one} for one in two] for two in pairs]
    )
    for two, usually in zip(pairs, found, strict=True):
        usual = learn(
            [si_of(kind, one, "inHg", "vacuum", (None, None, None)).si for one in two], unit_in_si(kind, "inHg") / 10
        )
        view = BaselineView("", what, kind.conditions[0], usual, "inHg", "vacuum", 101.325)
        assert usually == f"usually {view.figures(scale)}"


def test_what_is_usual_is_learned_alike(weigh: Any) -> None:
    @FEW
    @given(st.lists(st.lists(st.floats(1, 250), min_size=1, max_size=40), min_size=5))
    def alike(some: list[list[float]]) -> None:
        found = weigh(LEARN, [[{"si": si, "step": 0.1} for si in healthy] for healthy in some])
        for healthy, usual in zip(some, found, strict=True):
            expected = learn(healthy, 0.1)
            assert usual["centre"] == pytest.approx(expected.centre, rel=1e-12)
            assert usual["spread"] == pytest.approx(expected.spread, rel=1e-12)

    alike()
