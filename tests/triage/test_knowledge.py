"""The table itself: complete, never certain, and true to what physics forbids."""

import pytest

from app.airpath.words import Layout, Role, Suspect
from app.triage.facts import facts_of
from app.triage.knowledge.grades import ALMOST_NEVER, CHARGE_SMALL, Grade, row
from app.triage.knowledge.table import KINDS, OUTCOMES, knowledge
from app.triage.signs import CODES, SIGNS
from tests.triage.conftest import car

#: The vocabulary as it is stored and sent; a change here is a change of every record.
VOCABULARY = {
    "first_start_vacuum": ("normal", "low_then_builds", "low_and_stays"),
    "idle_vacuum": ("normal", "slightly_low", "very_low"),
    "idle_needle": ("steady", "wavering", "flicking"),
    "vacuum_recovery": ("prompt", "slow", "none"),
    "lift_off_sound": ("usual", "flutter", "louder"),
    "boost_level": ("on_target", "slightly_low", "capped_low", "none", "over_target"),
    "boost_stability": ("steady", "erratic"),
    "idle_quality": ("smooth", "hunting", "high", "rough"),
    "fuel_trim_idle": ("normal", "adding", "removing"),
    "fuel_trim_load": ("normal", "adding", "removing"),
    "hiss": ("none", "at_idle", "under_boost"),
    "brake_pedal": ("normal", "hard"),
    "exhaust_smoke": ("none", "black_under_boost", "blue"),
    "leak_size": ("none", "pinhole", "small", "open"),
}


def test_the_vocabulary_is_fixed() -> None:
    assert {sign.key: sign.outcome_keys for sign in SIGNS.values()} == VOCABULARY
    assert set(OUTCOMES) == {*VOCABULARY, CODES}


def test_every_sign_has_a_question_and_a_label_for_each_outcome() -> None:
    for sign in SIGNS.values():
        assert sign.question.endswith("?")
        assert len({outcome.label for outcome in sign.outcomes}) == len(sign.outcomes)
        assert all(outcome.phrase for outcome in sign.outcomes)
        assert sign.healthy == sign.outcome_keys[0]
        with pytest.raises(KeyError):
            sign.phrase("purple")


def test_every_row_is_a_distribution_without_a_zero(layout: Layout) -> None:
    know = knowledge(facts_of(layout))
    for sign, rows in know.chance.items():
        assert set(rows) == set(KINDS)
        for kind, chances in rows.items():
            assert len(chances) == len(OUTCOMES[sign])
            assert min(chances) > 0
            assert sign == CODES or sum(chances) == pytest.approx(1)
            assert sum(know.asked[sign][kind]) == pytest.approx(1)


def test_no_row_names_an_outcome_that_does_not_exist(layout: Layout) -> None:
    for sign, rows in knowledge(facts_of(layout)).rows.items():
        for each in rows.values():
            assert set(each.grades) <= set(OUTCOMES[sign])


def test_grades_fall_from_almost_always_to_almost_never() -> None:
    numbers = [grade.value for grade in Grade]
    assert numbers == sorted(numbers, reverse=True)
    assert Grade.ALMOST_NEVER.words == "almost never"
    assert row(steady=Grade.OFTEN).grade("erratic") is ALMOST_NEVER


def test_what_only_takes_away_cannot_overboost(layout: Layout) -> None:
    rows = knowledge(facts_of(layout)).rows["boost_level"]
    for kind in (Role.CHARGE, CHARGE_SMALL, Role.INTAKE, Role.RECIRCULATION, Role.MANIFOLD_SMALL, Suspect.AIR_FILTER):
        assert rows[kind].grade("over_target") is ALMOST_NEVER


def test_nothing_before_the_shut_throttle_lowers_idle_vacuum() -> None:
    know = knowledge(facts_of(Layout.STORED_VACUUM))
    for kind in (Role.CHARGE, Role.INTAKE, Role.RECIRCULATION, Suspect.AIR_FILTER, Suspect.WASTEGATE):
        assert know.chance["idle_vacuum"][kind][0] > 0.9


def test_signs_that_mean_nothing_on_a_layout_move_nobody() -> None:
    silent = {layout: set(OUTCOMES) - knowledge(facts_of(layout)).speaks for layout in Layout}
    assert silent[Layout.NATURALLY_ASPIRATED] == {"boost_level", "boost_stability", "lift_off_sound"}
    assert silent[Layout.TURBO_DIESEL] == {"fuel_trim_idle", "fuel_trim_load", "lift_off_sound"}
    assert not silent[Layout.STORED_VACUUM]


def test_the_facts_of_a_layouts_file_are_those_triage_assumes(layout: Layout) -> None:
    assert car(layout)[0] == facts_of(layout)


def test_something_else_has_a_row_of_its_own_wherever_a_sign_speaks(layout: Layout) -> None:
    know = knowledge(facts_of(layout))
    for sign in know.speaks:
        chances = know.chance[sign][Suspect.SOMETHING_ELSE]
        assert max(chances[1:]) > 0.03
