"""What a plan is made of: stages, items, and what an item needs before it can be fitted."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

State = Literal["wanted", "ordered", "here", "fitted", "shelf", "gone"]


class NeedKind(StrEnum):
    """What a need asks for. What the last three come to, the plan can't tell by itself: `Need.met` says it."""

    FITTED = "fitted"
    HERE = "here"
    TOOL = "tool"
    READING = "reading"
    WORDS = "words"


@dataclass(frozen=True, slots=True)
class Need:
    """One thing that comes first. `of` is the other item's id, where it is an item; `said` what to call it."""

    id: str
    kind: NeedKind
    said: str
    of: str | None = None
    met: bool = False


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of the plan; the lower `step` comes first. Days are ISO 8601."""

    id: str
    step: int
    name: str
    by_day: str | None = None
    power_kw: float | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """One part, or a piece of work that is no part (`is_work`: a tune, an alignment), with what it needs first."""

    id: str
    name: str
    state: State
    stage: str | None = None
    is_work: bool = False
    ordered_on: str | None = None
    expected_on: str | None = None
    needs: Sequence[Need] = ()

    @property
    def at_hand(self) -> bool:
        """Whether it lies here. Work never has to arrive."""
        return self.state in {"here", "shelf"} or (self.is_work and not self.done and self.state != "gone")

    @property
    def done(self) -> bool:
        """Whether it is on the car (or, of work, was done)."""
        return self.state == "fitted"

    @property
    def is_to_do(self) -> bool:
        """Whether it is still to be fitted. What lies on the shelf is, once a stage asks for it."""
        return self.state in {"wanted", "ordered", "here"} or (self.state == "shelf" and self.stage is not None)


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything that is meant for one car, by id; stages in their order."""

    stages: Sequence[Stage]
    items: Mapping[str, Item]

    def step(self, item: Item) -> int:
        """The step of an item's stage; what has none comes after all that have."""
        return next((stage.step for stage in self.stages if stage.id == item.stage), 1_000)
