"""A sign's outcome from a reading, held to the car's own baseline in absolute pressure, and how that is said."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.airpath.readings import READINGS, Condition, ReadingKind
from app.records.baselines import BaselineView
from app.records.kinds.reading import series_of
from app.records.readings import ReadingRow
from app.records.shown import Scale
from app.records.signs import SignRow
from app.triage.from_readings import first_start_vacuum, signs_from
from app.triage.signs import CODES, SIGNS
from app.workings.spread import Baseline

#: The readings that can answer a sign, the usual one first.
READING_OF: dict[str, tuple[ReadingKind, ...]] = {
    "first_start_vacuum": (ReadingKind.FIRST_START_VACUUM,),
    "idle_vacuum": (ReadingKind.IDLE_VACUUM,),
    "vacuum_recovery": (ReadingKind.VACUUM_RECOVERY,),
    "boost_level": (ReadingKind.STEADY_BOOST, ReadingKind.PEAK_BOOST),
    "fuel_trim_idle": (ReadingKind.FUEL_TRIM_IDLE,),
    "fuel_trim_load": (ReadingKind.FUEL_TRIM_LOAD,),
}
#: The sign a reading answers.
SIGN_OF: dict[ReadingKind, str] = {kind: sign for sign, kinds in READING_OF.items() for kind in kinds}

_STANDARD_KPA = 101.325


@dataclass(frozen=True, slots=True)
class Read:
    """The reading behind a sign, as entered and in SI (kPa absolute for a pressure, with the air it was read in)."""

    what: ReadingKind
    condition: Condition
    value: float
    unit: str
    basis: str | None
    si: float
    ambient_kpa: float | None

    @property
    def scale(self) -> Scale:
        """The scale it was read on."""
        return Scale(self.what, self.unit, self.basis, self.ambient_kpa)


def read_of(sign: SignRow) -> Read | None:
    """The reading a sign was noted by; None for one that was tapped."""
    if sign.what is None or sign.condition is None or sign.value is None or sign.unit is None or sign.si is None:
        return None
    what, condition = ReadingKind(sign.what), Condition(sign.condition)
    return Read(what, condition, sign.value, sign.unit, sign.basis, sign.si, sign.ambient_kpa)


def read_from(reading: ReadingRow) -> Read:
    """A reading of the record, as a sign is judged by it."""
    return Read(
        reading.kind,
        Condition(reading.condition),
        reading.value,
        reading.unit,
        reading.basis,
        reading.si,
        reading.ambient_kpa,
    )


def outcomes(signs: Sequence[SignRow], baselines: Mapping[str, BaselineView]) -> tuple[tuple[str, str], ...]:
    """What is known of each sign of a ticket, trouble codes aside, as (sign, outcome) in the vocabulary's order.

    A sign that came as a bare reading is judged here; a car may gain its baseline after the ticket was opened.
    """
    known = {one.sign: one.outcome for one in signs if one.outcome is not None and one.sign != CODES}
    # Idle vacuum before the first start's, which rests on it.
    for one in sorted(signs, key=lambda one: one.sign == "first_start_vacuum"):
        read = read_of(one) if one.sign not in known else None
        outcome = read and outcome_of(one.sign, read, baselines, known.get("idle_vacuum"))
        if outcome:
            known[one.sign] = outcome
    return tuple((sign, known[sign]) for sign in SIGNS if sign in known)


def outcome_of(sign: str, read: Read, baselines: Mapping[str, BaselineView], warm: str | None) -> str | None:
    """What the reading says of the sign; None where it says nothing alone.

    `baselines` are the car's, by series; `warm` is the outcome of `idle_vacuum` on the same ticket, if known.
    """
    if SIGN_OF.get(read.what) != sign:
        return None
    healthy = _healthy(read, baselines)
    if read.what is ReadingKind.FIRST_START_VACUUM:
        usual = healthy.get(read.what) or healthy.get(ReadingKind.IDLE_VACUUM)
        return first_start_vacuum(read.si, usual, warm) if usual else first_start_vacuum(read.si, warm=warm)
    return signs_from({read.what: read.si}, healthy, read.ambient_kpa or _STANDARD_KPA).get(sign)


def sentence(sign: str, read: Read, outcome: str | None, baselines: Mapping[str, BaselineView]) -> str:
    """How the reading was judged: the figure, what it was held to, and what came of it."""
    figure = f"{read.scale.figure(read.value)} {read.scale.unit_label}"
    own = baselines.get(series_of(read.what, read.condition))
    held = (
        f"this car's usual {own.figures(read.scale)}"
        if own
        else "what cars usually show (this one has no baseline yet)"
    )
    if outcome is not None:
        return f"{figure}, held to {held}: {SIGNS[sign].phrase(outcome)}."
    if read.what is ReadingKind.FIRST_START_VACUUM:
        return f"{figure}, held to {held}: low. Note idle vacuum once warm, and it is known whether it builds."
    return f"{figure} is kept. This car has no baseline for it yet, so say yourself how it looks."


@dataclass(frozen=True, slots=True)
class Told:
    """How a figure is judged, in words: what it is held to, and what is said where that gives no answer."""

    held: str
    unjudged: str

    def sentence(self, figure: str, phrase: str | None) -> str:
        """`17.5 inHg, held to this car's usual 19.5 ± 0.6 inHg: idle vacuum is a little low.`"""
        return f"{figure}, held to {self.held}: {phrase}." if phrase else f"{figure} {self.unjudged}"


def told_of(what: ReadingKind, baselines: Mapping[str, BaselineView]) -> Told:
    """How a figure of this kind is judged on this car, under the kind's usual condition."""
    own = baselines.get(series_of(what, READINGS[what].conditions[0]))
    held = f"this car's usual {own.figures(own.scale)}" if own else "what cars usually show (it has no baseline yet)"
    if what is ReadingKind.FIRST_START_VACUUM:
        return Told(held, "is low. Note idle vacuum once warm, and it is known whether it builds.")
    return Told(held, "is kept. This car has no baseline for it yet, so say yourself how it looks.")


def usual(sign: str, baselines: Mapping[str, BaselineView]) -> str | None:
    """`Usually 19.5 ± 0.6 inHg on this car`; None where no baseline is known."""
    for kind in READING_OF.get(sign, ()):
        for condition in READINGS[kind].conditions[:1]:
            own = baselines.get(series_of(kind, condition))
            if own:
                return f"Usually {own.figures(own.scale)} on this car"
    return None


def _healthy(read: Read, baselines: Mapping[str, BaselineView]) -> dict[ReadingKind, Baseline]:
    found: dict[ReadingKind, Baseline] = {}
    for kind, condition in ((ReadingKind.IDLE_VACUUM, Condition.WARM), (read.what, read.condition)):
        own = baselines.get(series_of(kind, condition))
        if own:
            found[kind] = own.usual
    return found
