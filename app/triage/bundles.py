"""Which steps are worth doing together: what they share, a place to open or an engine to cool, is paid once."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from app.triage.signs import Need

_Key = TypeVar("_Key")


@dataclass(frozen=True, slots=True)
class Work:
    """A step to be placed: what it tells, its own minutes, and what it shares: its place, and the engine's state.

    `opening` and `ready` are the minutes its place and its state cost, nothing where they are as needed already.
    """

    gain: float
    minutes: float
    place: str | None = None
    opening: float = 0.0
    state: Need | None = None
    ready: float = 0.0


@dataclass(frozen=True, slots=True)
class _Bundle:
    gain: float
    minutes: float
    steps: tuple[int, ...]

    @property
    def rate(self) -> float:
        return self.gain / max(self.minutes, 1e-9)


def most_a_minute(works: Sequence[Work]) -> tuple[int, ...]:
    """The steps' places by information a minute, those that are worth more together standing together.

    Twice the same rule, for each place within a state of the engine and then for each state: of the steps that share
    some minutes, most to least a minute, take as many as raise the whole bundle's information a minute, the shared
    minutes paid once. The others follow on their own, for then those minutes are paid. What a bundle tells is what its
    steps tell one by one, added up; together they never tell more.
    """
    single = [_Bundle(work.gain, work.minutes + _unshared(work), (index,)) for index, work in enumerate(works)]
    by_place = _grouped(single, [(_state(work), work.place) for work in works])
    in_places: list[_Bundle] = []
    for (_, place), those in by_place.items():
        in_places += _together(those, 0.0 if place is None else works[those[0].steps[0]].opening)
    by_state = _grouped(in_places, [_state(works[bundle.steps[0]]) for bundle in in_places])
    bundles: list[_Bundle] = []
    for state, those in by_state.items():
        bundles += _together(those, 0.0 if state is None else works[those[0].steps[0]].ready)
    return tuple(index for bundle in _best_first(bundles) for index in bundle.steps)


def already_paid(works: Iterable[Work]) -> list[float]:
    """Of each step's opening and getting ready, what the steps before it have paid, in the order given.

    A place stays open; the engine stays as it is only for the very next step.
    """
    opened: set[str] = set()
    state: Need | None = None
    paid = []
    for work in works:
        paid.append(
            (work.opening if work.place in opened else 0.0)
            + (work.ready if work.state is not None and work.state is state else 0.0)
        )
        if work.place is not None:
            opened.add(work.place)
        state = work.state or state
    return paid


def _unshared(work: Work) -> float:
    return work.opening if work.place is None else 0.0


def _state(work: Work) -> Need | None:
    # A state that costs nothing to get to ties nothing together.
    return work.state if work.ready > 0 else None


def _grouped(bundles: Sequence[_Bundle], keys: Sequence[_Key]) -> dict[_Key, list[_Bundle]]:
    groups: dict[_Key, list[_Bundle]] = {}
    for bundle, key in zip(bundles, keys, strict=True):
        groups.setdefault(key, []).append(bundle)
    return groups


def _best_first(bundles: Iterable[_Bundle]) -> list[_Bundle]:
    return sorted(bundles, key=lambda bundle: (-bundle.rate, min(bundle.steps)))


def _together(bundles: Iterable[_Bundle], shared: float) -> list[_Bundle]:
    """The bundle of most information a minute that pays the shared minutes, and those that follow it singly."""
    first, *others = _best_first(bundles)
    if shared <= 0:
        return [first, *others]
    whole = _Bundle(first.gain, first.minutes + shared, first.steps)
    while others and others[0].rate > whole.rate:
        nearest = others.pop(0)
        whole = _Bundle(whole.gain + nearest.gain, whole.minutes + nearest.minutes, whole.steps + nearest.steps)
    return [whole, *others]
