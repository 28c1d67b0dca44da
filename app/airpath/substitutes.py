"""What could stand in for a part that is missing: every demanded figure held against what there is, in words.

A figure that is violated is said, and so is one that nobody knows. Only what meets everything that was asked fits. The
maker's own part always comes first; this finds what may carry a car home.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from app.airpath.words import MATERIAL_LABEL, Material

#: mm a bore may be off and still be the same size. (Our own judgement, no source: what a tape can tell.)
SAME_BORE_MM = 0.5
#: Up to so much of the demanded bore a narrower hose may be stretched on at all. (Common practice, no source.)
STRETCHES = 0.10

Verdict = Literal["fits", "unknown", "unfit"]
_RANK: dict[Verdict, int] = {"fits": 0, "unknown": 1, "unfit": 2}


@dataclass(frozen=True, slots=True)
class Demand:
    """What the missing part has to be. None is not asked for. `words`: what has to be compared by hand."""

    bore_mm: float | None = None
    length_mm: float | None = None
    material: Material | None = None
    stands_c: float | None = None
    stands_kpa: float | None = None
    words: str | None = None

    @property
    def says_nothing(self) -> bool:
        """Whether there is nothing to hold anything against."""
        figures = (self.bore_mm, self.length_mm, self.material, self.stands_c, self.stands_kpa, self.words)
        return all(one is None for one in figures)


@dataclass(frozen=True, slots=True)
class Offer:
    """What there is. None is not known."""

    bore_mm: float | None = None
    length_mm: float | None = None
    material: Material | None = None
    stands_c: float | None = None
    stands_kpa: float | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """One demand held against an offer: `wrong` it is violated, `unknown` nobody can say, or a thing `to do` first.

    `off`: by how much of the demanded figure it is violated; 0 for what is not violated. `by_hand`: it is in words,
    and only a person can compare it.
    """

    how: Literal["wrong", "unknown", "to do"]
    says: str
    off: float = 0.0
    by_hand: bool = False


@dataclass(frozen=True, slots=True)
class Match:
    """An offer's findings; it fits only if nothing is violated and nothing unknown."""

    findings: tuple[Finding, ...]

    @property
    def verdict(self) -> Verdict:
        """The worst that was found. A demand that says nothing is met by nothing."""
        hows = {one.how for one in self.findings}
        return "unfit" if "wrong" in hows else "unknown" if "unknown" in hows else "fits"

    @property
    def order(self) -> tuple[int, float, int]:
        """The better fit sorts first: by verdict, then how far off, then how much is unknown."""
        unknown = sum(one.how == "unknown" for one in self.findings)
        return _RANK[self.verdict], sum(one.off for one in self.findings), unknown


def match(demand: Demand, offer: Offer) -> Match:
    """Hold an offer against a demand."""
    if demand.says_nothing:
        return Match((Finding("unknown", "nothing is written down of what is missing"),))
    return Match(tuple(_findings(demand, offer)))


def ranked(demand: Demand, offers: Sequence[Offer]) -> list[tuple[int, Match]]:
    """Every offer's place in `offers` with its match, the best first; equal ones stay in their order."""
    found = [(place, match(demand, offer)) for place, offer in enumerate(offers)]
    return sorted(found, key=lambda one: one[1].order)


def _findings(demand: Demand, offer: Offer) -> Iterator[Finding]:
    if demand.bore_mm is not None:
        yield from _bore(demand.bore_mm, offer.bore_mm)
    if demand.length_mm is not None:
        yield from _length(demand.length_mm, offer.length_mm)
    if demand.material is not None:
        yield from _material(demand.material, offer.material)
    if demand.stands_c is not None:
        yield from _stands(demand.stands_c, offer.stands_c, "°C", "heat")
    if demand.stands_kpa is not None:
        yield from _stands(demand.stands_kpa, offer.stands_kpa, "kPa", "pressure")
    if demand.words is not None:
        yield Finding("unknown", f"compare by hand: it has to stand {demand.words}", by_hand=True)


def _bore(asked: float, there: float | None) -> Iterator[Finding]:
    if there is None:
        yield Finding("unknown", "its bore is not known: measure it")
    elif abs(there - asked) > SAME_BORE_MM:
        by, share = f"{_figure(abs(there - asked))} mm", abs(there - asked) / asked
        if there > asked:
            says = f"{by} wider: no clamp makes it tight on this spigot"
        elif share <= STRETCHES:
            says = f"{by} narrower: will need stretching; the maker's hose first"
        else:
            says = f"{by} narrower: too narrow to go on"
        yield Finding("wrong", says, share)


def _length(asked: float, there: float | None) -> Iterator[Finding]:
    if there is None:
        yield Finding("unknown", "its length is not known: measure it")
    elif there < asked:
        yield Finding("wrong", f"{_figure(asked - there)} mm shorter: will not reach", (asked - there) / asked)
    elif there > asked:
        yield Finding("to do", f"{_figure(there - asked)} mm longer: cut it to length")


def _material(asked: Material, there: Material | None) -> Iterator[Finding]:
    if there is None:
        yield Finding("unknown", f"its material is not known: {MATERIAL_LABEL[asked]} is asked for")
    elif there is not asked:
        yield Finding("wrong", f"{MATERIAL_LABEL[there]} where {MATERIAL_LABEL[asked]} is asked for", 1.0)


def _stands(asked: float, there: float | None, unit: str, what: str) -> Iterator[Finding]:
    if there is None:
        yield Finding("unknown", f"what {what} it stands is not known: {_figure(asked)} {unit} is asked for")
    elif there < asked:
        says = f"stands {_figure(there)} {unit} where {_figure(asked)} {unit} is asked for"
        yield Finding("wrong", says, min(1.0, (asked - there) / max(abs(asked), 1.0)))


def _figure(value: float) -> str:
    # Never "0 mm shorter": what is violated by less than it can be said still says by how much.
    return f"{value:.0f}" if value >= 10 else f"{value:.1f}".removesuffix(".0") if value >= 0.1 else f"{value:.2g}"
