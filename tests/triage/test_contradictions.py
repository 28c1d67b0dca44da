"""Signs that seldom go together are pointed out, and signs that do are not."""

import pytest

from app.airpath.words import Layout
from tests.triage.conftest import ranked


@pytest.mark.parametrize(
    "signs",
    [
        {"brake_pedal": "hard", "boost_level": "over_target"},
        {"boost_level": "over_target", "hiss": "at_idle"},
        {"exhaust_smoke": "blue", "lift_off_sound": "louder"},
    ],
)
def test_two_signs_no_one_fault_explains_are_named(signs: dict[str, str]) -> None:
    found = ranked(Layout.STORED_VACUUM, signs).contradictions
    assert [{each.first, each.second} for each in found] == [set(signs)]
    assert "seldom go together: look again at" in found[0].sentence
    assert found[0].look_again in signs


@pytest.mark.parametrize(
    "signs",
    [
        {"hiss": "under_boost", "boost_level": "slightly_low"},
        {"vacuum_recovery": "slow", "lift_off_sound": "flutter"},
        {"brake_pedal": "hard", "hiss": "at_idle", "idle_vacuum": "slightly_low"},
        {"boost_level": "on_target", "idle_vacuum": "normal", "hiss": "none"},
        {},
    ],
)
def test_signs_one_fault_explains_are_left_alone(signs: dict[str, str]) -> None:
    assert ranked(Layout.STORED_VACUUM, signs).contradictions == ()


def test_the_sign_that_stands_alone_against_the_others_is_the_one_to_look_at_again() -> None:
    signs = {"hiss": "at_idle", "fuel_trim_idle": "adding", "idle_vacuum": "slightly_low", "boost_level": "over_target"}
    found = ranked(Layout.STORED_VACUUM, signs).contradictions
    assert found
    assert {each.look_again for each in found} == {"boost_level"}
