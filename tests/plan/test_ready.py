"""What can be done now, against the rule written out the long way."""

from hypothesis import given

from app.plan.items import Item, Need, NeedKind, Plan, Stage
from app.plan.ready import Lack, holds, is_met, next_stage, ready
from tests.plan.plans import STAGES, plans

ONE = Stage("one", 1, "Seal it")


def _may_be_done(plan: Plan, item: Item) -> bool:
    """The rule, item by item, sharing nothing with the program's."""
    wanted_at_all = item.state in ("wanted", "ordered", "here") or (item.state == "shelf" and item.stage)
    lies_here = item.state in ("here", "shelf") or (item.is_work and item.state in ("wanted", "ordered"))
    for need in item.needs:
        other = plan.items.get(need.of or "")
        state = other.state if other else "gone"
        if need.kind == "fitted" and state != "fitted":
            return False
        if need.kind == "here":
            work_waits = other is not None and other.is_work and state in ("wanted", "ordered")
            if state not in ("here", "shelf", "fitted") and not work_waits:
                return False
        if need.kind not in ("fitted", "here") and not need.met:
            return False
    return bool(wanted_at_all and lies_here)


@given(plan=plans())
def test_the_ready_list_offers_all_that_can_be_done_and_nothing_else(plan: Plan) -> None:
    offered = ready(plan)
    assert {item.id for item in offered} == {item.id for item in plan.items.values() if _may_be_done(plan, item)}
    assert len({item.id for item in offered}) == len(offered)
    assert all(is_met(plan, need) for item in offered for need in item.needs)


@given(plan=plans())
def test_the_earlier_stage_comes_first(plan: Plan) -> None:
    steps = [plan.step(item) for item in ready(plan)]
    assert steps == sorted(steps)


@given(plan=plans(acyclic=True))
def test_whatever_waits_is_held_up_by_something_and_what_is_ready_by_nothing(plan: Plan) -> None:
    stage = next_stage(plan)
    waiting = {item.name for item in plan.items.values() if stage and item.stage == stage.id and item.is_to_do}
    offered = {item.name for item in ready(plan)}
    held = {name for hold in (holds(plan, stage) if stage else ()) for name in hold.holds_up}
    assert held == waiting - offered


@given(plan=plans())
def test_the_next_stage_is_the_first_with_something_to_do(plan: Plan) -> None:
    left = [stage for stage in STAGES if any(i.stage == stage.id and i.is_to_do for i in plan.items.values())]
    assert next_stage(plan) == (left[0] if left else None)


@given(plan=plans())
def test_fitting_one_thing_never_takes_another_off_the_list(plan: Plan) -> None:
    """What the hold says helps: fitting an item can only bring more within reach."""
    before = {item.id for item in ready(plan)}
    for fitted in list(before):
        item = plan.items[fitted]
        done = Item(item.id, item.name, "fitted", item.stage, item.is_work, needs=item.needs)
        after = {one.id for one in ready(Plan(plan.stages, {**plan.items, fitted: done}))}
        assert before - {fitted} <= after


def test_a_need_on_a_part_that_is_gone_is_not_met_and_says_so() -> None:
    items = {
        "pump": Item("pump", "Pump", "gone"),
        "tune": Item("tune", "Tune", "here", "one", needs=[Need("n", NeedKind.FITTED, "Pump", "pump")]),
    }
    plan = Plan([ONE], items)
    assert ready(plan) == []
    (hold,) = holds(plan, ONE)
    assert (hold.lack, hold.said, hold.holds_up) == (Lack.GONE, "Pump", ["Tune"])


def test_what_holds_a_stage_up_is_told_at_its_root_and_the_worst_first() -> None:
    def fitted(of: str) -> Need:
        return Need(f"n.{of}", NeedKind.FITTED, of.title(), of)

    items = {
        "core": Item("core", "Core", "ordered", "one", expected_on="2026-05-03"),
        "pipe": Item("pipe", "Pipe", "here", "one", needs=[fitted("core")]),
        "tune": Item("tune", "Tune", "wanted", "one", is_work=True, needs=[fitted("pipe"), fitted("gauge")]),
        "gauge": Item("gauge", "Gauge", "here"),
    }
    told = [(hold.lack, hold.said, list(hold.holds_up)) for hold in holds(Plan([ONE], items), ONE)]
    assert told == [(Lack.ON_ORDER, "Core", ["Core", "Pipe", "Tune"]), (Lack.TO_FIT, "Gauge", ["Tune"])]


def test_a_cycle_is_survived_where_the_holds_are_looked_for() -> None:
    items = {
        "a": Item("a", "A", "here", "one", needs=[Need("n1", NeedKind.FITTED, "B", "b")]),
        "b": Item("b", "B", "here", "one", needs=[Need("n2", NeedKind.FITTED, "A", "a")]),
    }
    assert holds(Plan([ONE], items), ONE) == []
    assert ready(Plan([ONE], items)) == []
