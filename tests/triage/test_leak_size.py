"""The size of a leak as a sign: held to bores, never asked for, and never without a reason."""

import pytest

from app.airpath.words import Layout, Role, Suspect
from app.triage.facts import facts_of
from app.triage.knowledge.grades import ALMOST_NEVER, CHARGE_SMALL, RARELY, UNRELATED
from app.triage.knowledge.leak_size import rows
from app.triage.signs import SIGNS
from tests.triage.conftest import one_of, order, ranked, share

_THIN = (Role.DIVERTER_SIGNAL, Role.VACUUM_STORE, Role.GAUGE, Role.FUEL_REGULATOR)
_WIDE = (Role.CHARGE, Role.INTAKE, Role.RECIRCULATION, Role.BREATHER)


def test_a_thin_line_is_no_open_hose_and_a_hose_that_is_off_no_pinhole(layout: Layout) -> None:
    table = rows(facts_of(layout))
    assert {table[role].grade("open") for role in _THIN} == {ALMOST_NEVER}
    assert all(table[role].grade("pinhole") in {RARELY, ALMOST_NEVER} for role in _WIDE)
    assert table[CHARGE_SMALL].grade("open").value < table[Role.CHARGE].grade("open").value


def test_every_row_but_that_of_what_does_not_leak_says_why(layout: Layout) -> None:
    assert [kind for kind, row in rows(facts_of(layout)).items() if not row.reason] == [UNRELATED]


@pytest.mark.parametrize("layout", [Layout.STORED_VACUUM])
def test_a_pinhole_points_to_a_tired_check_valve_and_away_from_the_pipes(layout: Layout) -> None:
    before, after = ranked(layout), ranked(layout, {"leak_size": "pinhole"})
    assert share(after, Role.VACUUM_STORE) > 1.5 * share(before, Role.VACUUM_STORE)
    assert share(after, Role.CHARGE) < 0.5 * share(before, Role.CHARGE)


@pytest.mark.parametrize("layout", [Layout.STORED_VACUUM])
def test_a_hose_s_bore_points_to_the_hoses_and_away_from_the_thin_lines(layout: Layout) -> None:
    before, after = ranked(layout), ranked(layout, {"leak_size": "open"})
    assert share(after, *_WIDE, Role.BRAKE_SERVO) > 1.3 * share(before, *_WIDE, Role.BRAKE_SERVO)
    assert share(after, *_THIN) < 0.2 * share(before, *_THIN)


def test_boost_held_down_without_a_hole_is_not_ruled_out_by_a_wide_one() -> None:
    low = {"boost_level": "capped_low", "hiss": "none"}
    before, after = (ranked(Layout.STORED_VACUUM, low | more) for more in ({}, {"leak_size": "open"}))
    assert share(after, Suspect.WASTEGATE, Suspect.POWER_LIMIT) > 0.5 * share(
        before, Suspect.WASTEGATE, Suspect.POWER_LIMIT
    )


def test_no_leak_speaks_for_what_does_not_leak() -> None:
    after = order(ranked(Layout.STORED_VACUUM, {"boost_level": "slightly_low", "leak_size": "none"}))
    assert after.index(Suspect.WASTEGATE) < after.index(Role.MANIFOLD_SMALL)


def test_it_is_worked_out_and_never_asked_for(layout: Layout) -> None:
    for seen in ({}, {"hiss": "at_idle"}, {sign.key: sign.healthy for sign in SIGNS.values() if not sign.worked_out}):
        assert "leak_size" not in {step.key for step in ranked(layout, seen).next}


def test_its_reason_is_told_with_the_suspect() -> None:
    found = ranked(Layout.STORED_VACUUM, {"leak_size": "pinhole"})
    store = next(each for each in found.suspects if each.id == one_of(Layout.STORED_VACUUM, Role.VACUUM_STORE).id)
    assert any(
        "the leak is a pinhole: almost always so when this is at fault; a tired check" in one.reason
        for one in store.why
    )
