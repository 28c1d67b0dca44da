"""Candidates laid side by side: the columns of the comparison, and what comes of it in plain sentences."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from app.airpath.candidates import (
    FAST_MACH,
    FELT,
    SAFE_MARGIN,
    Assumed,
    Candidate,
    Carries,
    Difference,
    Figures,
    Fit,
    difference,
    figures,
    fit_of,
    replaced_by,
)
from app.airpath.words import Material
from app.pages.words import number as figure
from app.records.compare import At, PartRow

_LETTERS = "ABCDE"
#: How many are shown side by side.
MOST = len(_LETTERS)
NOW = "now"


@dataclass(frozen=True, slots=True)
class Column:
    """One candidate; or, with the letter "now", what is on the car, of which there need be no part."""

    letter: str
    part: PartRow | None
    facts: Candidate
    fit: Fit
    replaced: Candidate | None
    figures: Figures


@dataclass(frozen=True, slots=True)
class Bench:
    """A position, what air goes through it, what is assumed, and every candidate for it, shown or not."""

    place: At
    air: Carries
    assumed: Assumed
    every: Sequence[Candidate]

    def columns(self, shown: Sequence[PartRow], on: PartRow | None) -> list[Column]:
        """A column for each part shown, and before them one for what is on now, where anything is known of it."""
        made = [self._column(letter, one) for letter, one in zip(_LETTERS, shown, strict=False)]
        known = self.place.of == "line" and any((self.place.bore_mm, self.place.length_mm, self.place.material))
        return [self._now(on), *made] if on or known else made

    def apart(self, columns: Sequence[Column]) -> str:
        """How far apart they are, in a plain sentence; nothing where fewer than two can be reckoned."""
        found = difference([(one.facts, one.figures) for one in columns], self.assumed)
        return _apart(found, _names(columns)) if found else ""

    def _column(self, letter: str, part: PartRow) -> Column:
        facts = part.candidate
        fit, after = fit_of(facts, self.place.place), replaced_by(facts, self.every)
        return Column(letter, part, facts, fit, after, self._figures(facts))

    def _now(self, on: PartRow | None) -> Column:
        place = self.place
        facts = on.candidate if on else Candidate(place.id, place.part or "What is on now")
        facts = replace(facts, bore_mm=facts.bore_mm or place.bore_mm, length_mm=facts.length_mm or place.length_mm)
        if facts.material is None and place.material:
            facts = replace(facts, material=Material(place.material))
        return Column(NOW, on, facts, Fit("", ""), None, self._figures(facts))

    def _figures(self, facts: Candidate) -> Figures:
        return figures(facts, self.place.place, self.air, self.assumed)


def warnings(columns: Sequence[Column]) -> list[str]:
    """What speaks against one or another, in plain sentences."""
    names = _names(columns)
    return [f"{_start(names[one.facts.id])}: {said}" for one in columns for said in _warnings(one)]


def arrives(part: PartRow) -> str:
    """Whether it is here, in as few words as fit beside four others; the day itself is for the template to write."""
    return {"here": "is here", "shelf": "on the shelf", "ordered": "ordered"}.get(part.state, "not ordered")


def _names(columns: Sequence[Column]) -> dict[str, str]:
    return {one.facts.id: "what is on now" if one.letter == NOW else one.letter for one in columns}


def _apart(apart: Difference, names: Mapping[str, str]) -> str:
    run, most, share = figure(apart.run_kpa, 2), figure(apart.most_kpa, 1), figure(apart.share * 100, 1)
    measure = f"felt from {FELT:.0%} up, our own measure"
    if not apart.felt:
        return (
            f"Too small to feel: the straight runs differ by {run} kPa, and with the sharpest step out of them by "
            f"{most} kPa, {share} % of the pressure in the pipe ({measure}). Choose by fit, price and day."
        )
    worst, best = _start(names[apart.worst.id]), names[apart.best.id]
    return (
        f"{worst} costs up to {most} kPa more than {best}, {share} % of the pressure in the pipe: enough to feel "
        f"({measure}). Of it {run} kPa is the straight run; the rest is what a sharp step out of it would take."
    )


def _warnings(one: Column) -> Iterator[str]:
    if one.figures.flow and one.figures.flow.mach > FAST_MACH:
        mach = figure(one.figures.flow.mach, 2)
        yield f"air at Mach {mach}. Under {FAST_MACH} is the habit of the trade (common practice, no source)."
    if one.figures.margin is not None and one.figures.margin < SAFE_MARGIN:
        bears, times = figure(one.figures.collapse_kpa, 1), figure(one.figures.margin, 1)
        plies = f" Its {one.facts.plies} plies stand more, by how much nobody publishes." if one.facts.plies else ""
        yield (
            f"a bare wall of this stiffness flattens at {bears} kPa at the most, {times} times the suction. "
            f"See that it has plies or a wire inside.{plies}"
        )


def _start(name: str) -> str:
    return name[:1].upper() + name[1:]
