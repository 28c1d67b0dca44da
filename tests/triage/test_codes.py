"""Trouble codes as evidence: by their group, each group once, the rest kept in sight."""

import pytest

from app.airpath.words import Layout, Role, Suspect
from app.triage.codes import GROUP_LABEL, GROUP_OF, GROUPS, is_code, sort_codes
from tests.triage.conftest import order, ranked


def test_a_whole_group_counts_once() -> None:
    one = ranked(Layout.STORED_VACUUM, codes=("P0171",))
    many = ranked(Layout.STORED_VACUUM, codes=("P0171", "P0174", "P2187", "p0171"))
    assert [each.probability for each in one.suspects] == [each.probability for each in many.suspects]


def test_codes_nothing_can_use_are_kept_in_sight_and_move_nobody() -> None:
    plain, with_codes = ranked(Layout.STORED_VACUUM), ranked(Layout.STORED_VACUUM, codes=("P1234", "U0100"))
    assert with_codes.unused_codes == ("P1234", "U0100")
    assert order(plain) == order(with_codes)


def test_no_code_at_all_speaks_a_little_against_what_watches_itself() -> None:
    plain = {each.role: each.probability for each in ranked(Layout.STORED_VACUUM).roles}
    none = {each.role: each.probability for each in ranked(Layout.STORED_VACUUM, codes=()).roles}
    assert none[Suspect.BOOST_SOLENOID] < plain[Suspect.BOOST_SOLENOID]
    assert none[Role.GAUGE] > plain[Role.GAUGE]


@pytest.mark.parametrize(
    ("code", "layout", "first"),
    [
        ("P0299", Layout.STORED_VACUUM, Role.CHARGE),
        ("P0234", Layout.STORED_VACUUM, Role.BOOST_CONTROL),
        ("P0171", Layout.STORED_VACUUM, Role.MANIFOLD_SMALL),
        ("P0101", Layout.STORED_VACUUM, Suspect.AIRFLOW_SENSOR),
        ("P0106", Layout.ELECTRIC_DIVERTER, Suspect.PRESSURE_SENSOR),
        ("P0236", Layout.TURBO_DIESEL, Suspect.PRESSURE_SENSOR),
        ("P0243", Layout.DIRECT_SIGNAL, Suspect.BOOST_SOLENOID),
        ("P0033", Layout.STORED_VACUUM, Suspect.CHANGEOVER_SOLENOID),
        ("P0033", Layout.ELECTRIC_DIVERTER, Suspect.DIVERTER_VALVE),
        ("P2261", Layout.DIRECT_SIGNAL, Suspect.DIVERTER_VALVE),
        ("P0441", Layout.NATURALLY_ASPIRATED, Role.PURGE),
        ("P0507", Layout.ELECTRIC_DIVERTER, Role.MANIFOLD_SMALL),
        ("P0325", Layout.STORED_VACUUM, Suspect.POWER_LIMIT),
        ("P2135", Layout.DIRECT_SIGNAL, Suspect.POWER_LIMIT),
        ("P0016", Layout.NATURALLY_ASPIRATED, Suspect.SOMETHING_ELSE),
        ("P0401", Layout.TURBO_DIESEL, Suspect.SOMETHING_ELSE),
    ],
)
def test_a_code_alone_points_where_its_standard_meaning_does(code: str, layout: Layout, first: str) -> None:
    """Meanings of SAE J2012 (DEC2007) / ISO 15031-6, from memory."""
    assert order(ranked(layout, codes=(code,)))[0] == first


def test_low_and_high_of_a_circuit_are_electrical_and_not_a_boost_level() -> None:
    low, high = ranked(Layout.STORED_VACUUM, codes=("P0245",)), ranked(Layout.STORED_VACUUM, codes=("P0246",))
    assert [each.probability for each in low.suspects] == [each.probability for each in high.suspects]


def test_every_group_has_words_and_every_listed_code_the_shape_of_one() -> None:
    assert set(GROUP_OF.values()) | {"no_codes"} == set(GROUP_LABEL) == set(GROUPS)
    assert all(is_code(code) for code in GROUP_OF)
    assert not any(is_code(text) for text in ("", "P17", "P01711", "X0171", "P017G"))


def test_codes_are_taken_as_typed_whatever_their_case() -> None:
    assert sort_codes([" p0299 ", "P9999"]) == ((("underboost", ("P0299",)),), ("P9999",))


def test_a_code_from_beside_the_air_path_does_not_outweigh_a_sign_from_within_it() -> None:
    found = ranked(Layout.STORED_VACUUM, {"boost_level": "none", "hiss": "under_boost"}, codes=("P0420",))
    assert order(found)[0] == Role.CHARGE
