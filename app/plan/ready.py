"""What can be done now, and what holds the next stage up."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from app.plan.items import Item, Need, NeedKind, Plan, Stage


class Lack(StrEnum):
    """Why an item waits, at the root of it."""

    NOT_ORDERED = "not_ordered"
    ON_ORDER = "on_order"
    TO_FIT = "to_fit"
    GONE = "gone"
    TOOL = "tool"
    READING = "reading"
    WORDS = "words"


@dataclass(frozen=True, slots=True)
class Hold:
    """One thing to see to, and the names of the items it holds up. `of` is the item it is, where it is one."""

    lack: Lack
    said: str
    of: str | None
    expected_on: str | None
    holds_up: Sequence[str]


def is_met(plan: Plan, need: Need) -> bool:
    """Whether a need is met. One on an item that is gone, or that nobody knows, is not."""
    if need.kind not in {NeedKind.FITTED, NeedKind.HERE}:
        return need.met
    other = plan.items.get(need.of or "")
    if other is None:
        return False
    return other.done or (need.kind is NeedKind.HERE and other.at_hand)


def unmet(plan: Plan, item: Item) -> list[Need]:
    """The needs of an item that are not met."""
    return [need for need in item.needs if not is_met(plan, need)]


def is_ready(plan: Plan, item: Item) -> bool:
    """Whether it can be done now: it is to be done, it lies here, and nothing has to come first."""
    return item.is_to_do and item.at_hand and not unmet(plan, item)


def ready(plan: Plan) -> list[Item]:
    """Every item that can be done now, the earlier stage first."""
    found = [item for item in plan.items.values() if is_ready(plan, item)]
    return sorted(found, key=lambda item: (plan.step(item), item.name, item.id))


def next_stage(plan: Plan) -> Stage | None:
    """The first stage with something left to do; None when there is none."""
    for stage in sorted(plan.stages, key=lambda one: (one.step, one.id)):
        if any(item.stage == stage.id and item.is_to_do for item in plan.items.values()):
            return stage
    return None


def holds(plan: Plan, stage: Stage) -> list[Hold]:
    """What the stage's items wait for at the root, with what each holds up; what holds up most comes first.

    An item that waits for another is held up by whatever that one waits for. Items that can be done now are no hold,
    but one that a further item of the stage needs is: it has to be fitted. A cycle is survived; it is named elsewhere.
    """
    found: dict[tuple[Lack, str | None, str], list[str]] = defaultdict(list)
    for item in plan.items.values():
        if item.stage == stage.id and item.is_to_do:
            for root in dict.fromkeys(_roots(plan, item, {item.id})):
                found[root].append(item.name)
    told = [Hold(lack, said, of, _expected(plan, of), names) for (lack, of, said), names in found.items()]
    return sorted(told, key=lambda one: (-len(one.holds_up), one.lack, one.said))


def _roots(plan: Plan, item: Item, seen: set[str]) -> Iterator[tuple[Lack, str | None, str]]:
    if not item.at_hand:
        yield _not_here(item), item.id, item.name
    for need in unmet(plan, item):
        other = plan.items.get(need.of or "")
        if need.kind not in {NeedKind.FITTED, NeedKind.HERE}:
            yield Lack(need.kind.value), None, need.said
        elif other is None or other.state == "gone":
            yield Lack.GONE, need.of if other else None, need.said
        elif need.kind is NeedKind.HERE:
            yield _not_here(other), other.id, other.name
        elif other.id not in seen:
            seen.add(other.id)
            if is_ready(plan, other):
                yield Lack.TO_FIT, other.id, other.name
            else:
                yield from _roots(plan, other, seen)


def _not_here(item: Item) -> Lack:
    return Lack.ON_ORDER if item.state == "ordered" else Lack.NOT_ORDERED


def _expected(plan: Plan, of: str | None) -> str | None:
    item = plan.items.get(of or "")
    return item.expected_on if item else None
