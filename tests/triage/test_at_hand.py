"""What the garage owns and how the engine is now decide what is proposed first."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.airpath.words import Layout
from app.triage.at_hand import AFTER, GETTING_READY, STATES, TOOLS, AtHand, EngineNow, getting_ready, state_for
from app.triage.inputs import Evidence
from app.triage.model import NextStep, rank
from app.triage.signs import SIGNS, Need
from tests.triage.conftest import Signs, car

LEAK: Signs = {"hiss": "at_idle", "idle_vacuum": "slightly_low"}


def steps(layout: Layout, signs: Signs, at_hand: AtHand | None) -> tuple[NextStep, ...]:
    return rank(*car(layout), (), Evidence(signs), at_hand=at_hand).next


def test_tools_and_states_are_all_the_needs_there_are() -> None:
    assert TOOLS | set(STATES) == set(Need)
    assert not TOOLS & set(STATES)


def test_from_every_state_to_every_state_takes_minutes_and_to_stay_takes_none() -> None:
    assert set(GETTING_READY) == set(EngineNow)
    for engine, ways in GETTING_READY.items():
        assert set(ways) == set(STATES) == set(AFTER)
        for state, minutes in ways.items():
            assert minutes >= 0
            if state is not Need.FIRST_START and AFTER[state] is engine:
                assert minutes == 0


def test_a_first_start_is_for_a_cold_engine_and_a_drive_is_no_idling() -> None:
    assert state_for(SIGNS["first_start_vacuum"].needs) is Need.FIRST_START
    assert state_for(SIGNS["boost_level"].needs) is Need.A_DRIVE
    assert state_for((Need.CODE_READER,)) is None
    assert getting_ready(EngineNow.RUNNING, Need.FIRST_START) > getting_ready(EngineNow.RUNNING, Need.ENGINE_COLD) > 0


def test_with_nothing_said_every_tool_is_there_and_waiting_is_free(layout: Layout) -> None:
    said = AtHand(TOOLS, None)
    assert steps(layout, LEAK, None) == steps(layout, LEAK, AtHand()) == steps(layout, LEAK, said)
    assert all(not step.lacks and step.getting_ready == 0 for step in steps(layout, LEAK, None))


@settings(deadline=None, max_examples=40)
@given(
    layout=st.sampled_from(list(Layout)),
    tools=st.frozensets(st.sampled_from(sorted(TOOLS))),
    engine=st.none() | st.sampled_from(list(EngineNow)),
)
def test_what_lacks_a_tool_stands_last_and_says_which(
    layout: Layout, tools: frozenset[Need], engine: EngineNow | None
) -> None:
    found = steps(layout, LEAK, AtHand(tools, engine))
    lacking = [bool(step.lacks) for step in found]
    assert lacking == sorted(lacking)
    for step in found:
        assert set(step.lacks) == (set(step.needs) & TOOLS) - tools
    assert len({(step.kind, step.key, step.candidate_id) for step in found}) == len(found)


def test_without_a_smoke_machine_the_next_best_check_of_the_same_suspect_is_made() -> None:
    all_but_smoke = AtHand(TOOLS - {Need.SMOKE_MACHINE, Need.HAND_VACUUM_PUMP})
    for step in steps(Layout.STORED_VACUUM, LEAK, all_but_smoke):
        if step.lacks:
            others = [each for each in steps(Layout.STORED_VACUUM, LEAK, all_but_smoke) if not each.lacks]
            assert step.candidate_id in {each.candidate_id for each in others}


def test_with_no_tool_for_any_question_left_the_checks_are_put_in_the_quickest_order() -> None:
    seen = {sign.key: sign.healthy for sign in SIGNS.values() if Need.CODE_READER not in sign.needs}
    found = steps(Layout.STORED_VACUUM, seen | {"hiss": "under_boost"}, AtHand(TOOLS - {Need.CODE_READER}))
    kinds = [step.kind for step in found if not step.lacks]
    assert set(kinds) == {"check"}
    assert any(step.kind == "ask" and step.lacks == (Need.CODE_READER,) for step in found)


@pytest.mark.parametrize(
    ("engine", "state"),
    [
        (EngineNow.RUNNING, Need.ENGINE_RUNNING),
        (EngineNow.ON_THE_ROAD, Need.A_DRIVE),
        (EngineNow.COLD, Need.FIRST_START),
    ],
)
def test_what_can_be_done_now_comes_first(engine: EngineNow, state: Need) -> None:
    found = steps(Layout.STORED_VACUUM, {"boost_level": "slightly_low"}, AtHand(engine=engine))
    assert state_for(found[0].needs) in (state, None)
    assert found[0].getting_ready == 0


def test_running_hot_nobody_is_sent_round_the_turbocharger_before_all_that_can_be_seen_idling() -> None:
    found = steps(Layout.STORED_VACUUM, {"boost_level": "slightly_low"}, AtHand(engine=EngineNow.RUNNING))
    states = [state_for(step.needs) for step in found]
    asked_idling = [n for n, step in enumerate(found) if step.kind == "ask" and states[n] is Need.ENGINE_RUNNING]
    assert max(asked_idling) < min(n for n, state in enumerate(states) if state is Need.ENGINE_COLD)
    for step, state in zip(found, states, strict=True):
        assert step.getting_ready == getting_ready(EngineNow.RUNNING, state)
        assert step.minutes > step.getting_ready


def test_warming_up_is_paid_once_for_all_that_is_seen_idling() -> None:
    """From cold, the questions at warm idle follow each other, and only the first pays for warming up."""
    found = steps(Layout.STORED_VACUUM, {"first_start_vacuum": "normal"}, AtHand(engine=EngineNow.COLD))
    idling = [n for n, step in enumerate(found) if step.kind == "ask" and state_for(step.needs) is Need.ENGINE_RUNNING]
    leading = [n for n in idling if n < idling[0] + 3]
    assert leading == list(range(idling[0], idling[0] + 3))
    assert [found[n].shared for n in leading] == [0.0, found[leading[1]].getting_ready, found[leading[2]].getting_ready]
