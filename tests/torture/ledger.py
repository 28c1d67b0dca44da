"""What was made and what the phones said of it, kept apart from the phones; held against the record at the end."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field


@dataclass
class Ledger:
    """Ids of entries; `made`: by which phone. What was made and of which the phone told nothing died with its page: it
    may be in the record, and need not be."""

    made: dict[str, str] = field(default_factory=dict)
    bad: set[str] = field(default_factory=set)
    kept: dict[str, list[str]] = field(default_factory=dict)
    not_kept: set[str] = field(default_factory=set)
    withdrawn: set[str] = field(default_factory=set)
    #: What waited for one that was refused: it may be passed by what was entered later.
    held: set[str] = field(default_factory=set)
    #: What each photo's picture was when it was taken: photo -> SHA-256.
    pictures: dict[str, str] = field(default_factory=dict)
    _kept: set[str] = field(default_factory=set)

    def make(self, who: str, one: str) -> None:
        """An id was made, and is about to be handed to the phone."""
        self.made[one] = who

    def acknowledge(self, who: str, ids: Iterable[str]) -> None:
        """The phone said that it kept these."""
        told = list(ids)
        self.kept.setdefault(who, []).extend(told)
        self._kept.update(told)

    def has(self, one: str) -> bool:
        """Whether a phone said that it kept this one."""
        return one in self._kept

    def count(self, who: str) -> int:
        """Of how many one phone said that it kept them."""
        return len(self.kept.get(who, ()))

    @property
    def acknowledged(self) -> set[str]:
        """Everything any phone said it kept, and nobody withdrew."""
        return self._kept - self.withdrawn


@dataclass(frozen=True, slots=True)
class Verdict:
    """How the record compares with the ledger. Every count but the first three ought to be 0."""

    acknowledged: int
    recorded: int
    refused: int
    missing: Sequence[str]
    doubled: Sequence[str]
    unexplained: Sequence[str]
    kept_though_told_not: Sequence[str]
    out_of_order: Sequence[str]
    left_waiting: Sequence[str]

    @property
    def wrong(self) -> Mapping[str, Sequence[str]]:
        """What went wrong: name -> the entries' ids."""
        named = {
            "acknowledged and missing": self.missing,
            "duplicated": self.doubled,
            "unexplained": self.unexplained,
            "told it was not kept, yet in the record": self.kept_though_told_not,
            "out of its device's order": self.out_of_order,
            "left in an outbox without a reason": self.left_waiting,
        }
        return {name: ids for name, ids in named.items() if ids}


def judge(ledger: Ledger, record: Sequence[str], refused: Iterable[str], waiting: Iterable[str]) -> Verdict:
    """`record`: ids in order of arrival; `refused`, `waiting`: left in the outboxes with a reason and without one."""
    place = {one: n for n, one in enumerate(record)}
    left = set(refused)
    still = set(waiting)
    twice = [one for one, n in Counter(record).items() if n > 1]
    return Verdict(
        acknowledged=len(ledger.acknowledged),
        recorded=len(record),
        refused=len(left),
        missing=sorted(ledger.acknowledged - place.keys() - (left & ledger.bad)),
        doubled=twice + sorted(place.keys() & (left | still)),
        unexplained=sorted((place.keys() | left) - ledger.made.keys()),
        kept_though_told_not=sorted(ledger.not_kept & (place.keys() | left | still)),
        out_of_order=[one for ids in ledger.kept.values() for one in _behind(ids, place, ledger.held)],
        left_waiting=sorted(still),
    )


def _behind(ids: Sequence[str], place: Mapping[str, int], held: AbstractSet[str]) -> list[str]:
    """Those that arrived before one that was kept before them and was not held up by a refused one."""
    arrived = [(place[one], one) for one in ids if one in place and one not in held]
    latest, behind = -1, []
    for n, one in arrived:
        if n < latest:
            behind.append(one)
        latest = max(latest, n)
    return behind
