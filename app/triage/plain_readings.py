"""From a figure to a sign's outcome as plain numbers: limits, one after the other, each with what holds up to it.

The rules are those of app.triage.from_readings, written out for one car's healthy values and the air around it.
"""

from collections.abc import Mapping
from math import inf, nextafter

from app.airpath.readings import READINGS, ReadingKind
from app.triage import from_readings as rules
from app.triage.plain_numbers import Plain
from app.workings.spread import OUTSIDE_SPREADS, Baseline
from app.workings.units import PressureUnit, TimeUnit, convert, to_si, unit_of

#: Up to a limit (in SI, kPa absolute for a pressure) an outcome holds; the last has no limit.
Steps = tuple[tuple[float | None, str], ...]

#: Low at the first start says nothing by itself: which kind of low it is, idle vacuum says.
LOW = "low"
_WHICH_LOW: Mapping[str, Plain] = {"of": "idle_vacuum", "is": {"normal": "low_then_builds"}, "else": "low_and_stays"}


def plain_readings(healthy: Mapping[ReadingKind, Baseline], ambient_kpa: float) -> dict[str, Plain]:
    """For each kind of reading that can be judged: what its units and bases come to in SI, and its steps.

    A figure v becomes bases[basis][0] + bases[basis][1] * v * units[unit]; without bases v * units[unit].
    """
    found: dict[str, Plain] = {}
    for kind in READINGS:
        steps = steps_of(kind, healthy, ambient_kpa)
        if steps:
            found[kind.value] = {
                "units": {unit: _one(kind, unit) for unit in READINGS[kind].units},
                "bases": {basis: _basis(basis, ambient_kpa) for basis in READINGS[kind].bases},
                "steps": [[limit, outcome] for limit, outcome in steps],
                LOW: _WHICH_LOW if steps[-1][1] == LOW else None,
            }
    return found


def steps_of(kind: ReadingKind, healthy: Mapping[ReadingKind, Baseline], ambient_kpa: float) -> Steps:
    """The steps of one kind; none for a kind that no sign follows from, or that can't be judged without a baseline."""
    own = healthy.get(kind)
    if kind is ReadingKind.IDLE_VACUUM:
        return _vacuum(own or rules.USUAL_IDLE)
    if kind is ReadingKind.FIRST_START_VACUUM:
        usual = own or healthy.get(ReadingKind.IDLE_VACUUM, rules.USUAL_IDLE)
        return (_vacuum(usual)[0], (None, LOW))
    if kind in {ReadingKind.PEAK_BOOST, ReadingKind.STEADY_BOOST}:
        return _boost(own, ambient_kpa) if own else ()
    if kind is ReadingKind.VACUUM_RECOVERY:
        return _recovery(own or rules.USUAL_RECOVERY)
    if kind in {ReadingKind.FUEL_TRIM_IDLE, ReadingKind.FUEL_TRIM_LOAD}:
        return _trim(own or rules.USUAL_TRIM)
    return ()


def _vacuum(usual: Baseline) -> Steps:
    margin = max(OUTSIDE_SPREADS * usual.spread, rules.GAUGE_VACUUM_KPA)
    return (
        (usual.centre + margin, "normal"),
        (usual.centre + rules.VERY_LOW_KPA, "slightly_low"),
        (None, "very_low"),
    )


def _boost(own: Baseline, ambient_kpa: float) -> Steps:
    usual = own.centre - ambient_kpa
    margin = max(OUTSIDE_SPREADS * own.spread, rules.GAUGE_BOOST_KPA)
    # On target has the first word, so what is below it ends before it.
    on_target = _just_below(ambient_kpa + usual - margin)
    none = ambient_kpa + max(rules.NO_BOOST_SHARE * usual, 0.0)
    capped = ambient_kpa + min(rules.FEW_PSI_KPA, rules.CAPPED_SHARE * usual)
    return (
        (min(none, on_target), "none"),
        (min(capped, on_target), "capped_low"),
        (on_target, "slightly_low"),
        (ambient_kpa + usual + margin, "on_target"),
        (None, "over_target"),
    )


def _recovery(usual: Baseline) -> Steps:
    never = _just_below(rules.NEVER_S)
    limit = usual.centre + max(OUTSIDE_SPREADS * usual.spread, rules.LEAST_RECOVERY_S)
    return ((min(limit, never), "prompt"), (never, "slow"), (None, "none"))


def _trim(usual: Baseline) -> Steps:
    margin = max(OUTSIDE_SPREADS * usual.spread, rules.LEAST_TRIM)
    return ((_just_below(usual.centre - margin), "removing"), (usual.centre + margin, "normal"), (None, "adding"))


def _just_below(limit: float) -> float:
    return nextafter(limit, -inf)


def _one(kind: ReadingKind, unit: str) -> float:
    if READINGS[kind].quantity == "pressure":
        return convert(1.0, unit_of(unit, PressureUnit), PressureUnit.KPA)
    return to_si(1.0, unit_of(unit, TimeUnit)) if READINGS[kind].quantity == "time" else 1.0


def _basis(basis: str, ambient_kpa: float) -> Plain:
    bases: dict[str, Plain] = {"vacuum": [ambient_kpa, -1], "gauge": [ambient_kpa, 1], "absolute": [0, 1]}
    return bases[basis]
