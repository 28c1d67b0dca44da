"""Overrules: what the fitter of one car knows better than the table does."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.airpath.words import Layout, Role, Suspect
from app.triage.inputs import Evidence
from app.triage.knowledge.grades import Grade
from app.triage.knowledge.overrules import Overrule
from app.triage.knowledge.table import KINDS, OUTCOMES, knowledge
from app.triage.model import rank
from app.triage.signs import CODES, SIGNS
from tests.triage.conftest import car, share

FACTS, CANDIDATES = car(Layout.STORED_VACUUM)
NEVER_HARD = Overrule(Role.BRAKE_SERVO, "brake_pedal", "hard", Grade.ALMOST_NEVER, "it has an electric pump")


@settings(deadline=None, max_examples=40)
@given(
    kind=st.sampled_from(KINDS),
    sign=st.sampled_from(sorted(SIGNS)),
    grade=st.sampled_from(list(Grade)),
    data=st.data(),
)
def test_only_the_one_row_changes_and_it_adds_up_to_one_again(
    kind: str, sign: str, grade: Grade, data: st.DataObject
) -> None:
    outcome = data.draw(st.sampled_from(OUTCOMES[sign]))
    before = knowledge(FACTS)
    after = knowledge(FACTS, (Overrule(kind, sign, outcome, grade, "as seen in the paddock"),))
    assert sum(after.chance[sign][kind]) == pytest.approx(1)
    assert after.rows[sign][kind].grade(outcome) is grade
    weights = {each: before.rows[sign][kind].grade(each).value for each in OUTCOMES[sign]} | {outcome: grade.value}
    expected = [weights[each] / sum(weights.values()) for each in OUTCOMES[sign]]
    assert after.chance[sign][kind] == pytest.approx(expected)
    for other_sign in OUTCOMES:
        for other in KINDS:
            if (other_sign, other) != (sign, kind):
                assert after.chance[other_sign][other] == before.chance[other_sign][other]


def test_it_moves_the_blame_and_the_reason_names_the_note() -> None:
    evidence = Evidence({"brake_pedal": "hard"})
    before = rank(FACTS, CANDIDATES, (), evidence)
    after = rank(FACTS, CANDIDATES, (), evidence, overrules=(NEVER_HARD,))
    assert share(after, Role.BRAKE_SERVO) < share(before, Role.BRAKE_SERVO) / 5
    servo = next(each for each in after.suspects if each.role == Role.BRAKE_SERVO)
    reason = next(factor.reason for factor in servo.why if factor.key == "brake_pedal")
    assert "almost never so when this is at fault" in reason
    assert reason.endswith("on this car, it has an electric pump")


def test_another_car_of_the_same_facts_is_left_alone() -> None:
    evidence = Evidence({"brake_pedal": "hard"})
    before = rank(FACTS, CANDIDATES, (), evidence)
    rank(FACTS, CANDIDATES, (), evidence, overrules=(NEVER_HARD,))
    assert rank(FACTS, CANDIDATES, (), evidence) == before


def test_of_two_for_one_place_the_later_stands() -> None:
    later = Overrule(Role.BRAKE_SERVO, "brake_pedal", "hard", Grade.OFTEN, "the pump went")
    assert knowledge(FACTS, (NEVER_HARD, later)).rows["brake_pedal"][Role.BRAKE_SERVO].grade("hard") is Grade.OFTEN


def test_a_sign_the_table_is_silent_on_speaks_once_it_is_overruled() -> None:
    facts, candidates = car(Layout.NATURALLY_ASPIRATED)
    silent = next(sign for sign in SIGNS if sign not in knowledge(facts).speaks)
    outcome = SIGNS[silent].outcome_keys[-1]
    overrule = Overrule(Suspect.AIR_FILTER, silent, outcome, Grade.OFTEN, "odd, but so it is")
    assert rank(facts, candidates, (), Evidence({silent: outcome})).unused_signs == (silent,)
    after = rank(facts, candidates, (), Evidence({silent: outcome}), overrules=(overrule,))
    assert after.unused_signs == ()
    assert after.suspects[0].role == Suspect.AIR_FILTER


def test_a_code_group_is_overruled_by_itself() -> None:
    overrule = Overrule(Role.PURGE, CODES, "evap", Grade.RARELY, "the monitor is switched off on this one")
    changed, before = (knowledge(FACTS, each).chance[CODES][Role.PURGE] for each in ((overrule,), ()))
    place = OUTCOMES[CODES].index("evap")
    assert changed[place] == Grade.RARELY.value
    assert [p for n, p in enumerate(changed) if n != place] == [p for n, p in enumerate(before) if n != place]


def test_what_is_not_in_the_table_cannot_be_overruled() -> None:
    with pytest.raises(KeyError, match="gremlin"):
        knowledge(FACTS, (Overrule("gremlin", "hiss", "none", Grade.OFTEN, ""),))
    with pytest.raises(KeyError, match="smell"):
        knowledge(FACTS, (Overrule(Role.PURGE, "smell", "none", Grade.OFTEN, ""),))
    with pytest.raises(ValueError, match="whistle"):
        knowledge(FACTS, (Overrule(Role.PURGE, "hiss", "whistle", Grade.OFTEN, ""),))
