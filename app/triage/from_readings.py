"""Numbers into outcomes, against the car's own healthy values and in absolute pressure.

Absolute, because a gauge shows less vacuum up a mountain for the same engine. Limits without a source named are common
practice: a reading must lie three robust spreads off, and at least as far as a dashboard gauge can be trusted.
"""

from collections.abc import Mapping

from app.airpath.readings import ReadingKind
from app.workings.spread import OUTSIDE_SPREADS, Baseline

#: Warm idle at sea level, 19.5 inHg of vacuum (18 to 21 is usual), when a car has no baseline of its own yet.
USUAL_IDLE = Baseline(centre=35.3, spread=1.7, count=0)  # kPa absolute
#: Trims that add up to nothing.
USUAL_TRIM = Baseline(centre=0.0, spread=2.5, count=0)  # %
#: The needle back within a second or so.
USUAL_RECOVERY = Baseline(centre=1.0, spread=0.2, count=0)  # s

GAUGE_VACUUM_KPA = 3.4  # 1 inHg: what two looks at a small dial differ by
VERY_LOW_KPA = 17.0  # 5 inHg: well past what air conditioning takes (some 3 inHg)
GAUGE_BOOST_KPA = 6.9  # 1 psi
FEW_PSI_KPA = 45.0  # 6.5 psi above ambient: spring pressure or a protective limit, no more
CAPPED_SHARE = 0.6  # of the usual boost; a car that only ever makes 7 psi is not capped at 6
NO_BOOST_SHARE = 0.1
LEAST_RECOVERY_S = 0.5  # a stopwatch in a moving car
NEVER_S = 10.0  # by then nobody calls it slow any more
LEAST_TRIM = 5.0  # %: trims wander by this much on a healthy engine


def idle_vacuum(kpa: float, healthy: Baseline = USUAL_IDLE) -> str:
    """`normal`, `slightly_low` or `very_low` from manifold pressure at warm idle, kPa absolute."""
    rise = kpa - healthy.centre
    if rise <= max(OUTSIDE_SPREADS * healthy.spread, GAUGE_VACUUM_KPA):
        return "normal"
    return "slightly_low" if rise <= VERY_LOW_KPA else "very_low"


def first_start_vacuum(kpa: float, healthy: Baseline = USUAL_IDLE, warm: str | None = None) -> str | None:
    """`normal`, or which kind of low, from manifold pressure at the first start, kPa absolute.

    Low at first tells of a store only if vacuum is normal once warm. Without the `idle_vacuum` outcome (`warm`) it
    is None, and the question has to be asked.
    """
    if idle_vacuum(kpa, healthy) == "normal":
        return "normal"
    if warm is None:
        return None
    return "low_then_builds" if warm == "normal" else "low_and_stays"


def boost_level(kpa: float, ambient_kpa: float, healthy: Baseline) -> str:
    """The outcome of `boost_level` from manifold pressure at full throttle; all kPa absolute."""
    boost, usual = kpa - ambient_kpa, healthy.centre - ambient_kpa
    margin = max(OUTSIDE_SPREADS * healthy.spread, GAUGE_BOOST_KPA)
    if boost > usual + margin:
        return "over_target"
    if boost >= usual - margin:
        return "on_target"
    if boost <= max(NO_BOOST_SHARE * usual, 0.0):
        return "none"
    return "capped_low" if boost <= min(FEW_PSI_KPA, CAPPED_SHARE * usual) else "slightly_low"


def vacuum_recovery(seconds: float, healthy: Baseline = USUAL_RECOVERY) -> str:
    """`prompt`, `slow` or `none` from the seconds the needle takes back to idle vacuum when the throttle shuts."""
    if seconds >= NEVER_S:
        return "none"
    limit = healthy.centre + max(OUTSIDE_SPREADS * healthy.spread, LEAST_RECOVERY_S)
    return "prompt" if seconds <= limit else "slow"


def fuel_trim(percent: float, healthy: Baseline = USUAL_TRIM) -> str:
    """`normal`, `adding` or `removing` from short and long trim added up, %; above nought is fuel added (SAE J1979)."""
    off = percent - healthy.centre
    if abs(off) <= max(OUTSIDE_SPREADS * healthy.spread, LEAST_TRIM):
        return "normal"
    return "adding" if off > 0 else "removing"


def signs_from(
    readings: Mapping[ReadingKind, float], healthy: Mapping[ReadingKind, Baseline], ambient_kpa: float
) -> dict[str, str]:
    """Outcomes by sign from readings: pressures in kPa absolute, recovery in s, trims in %.

    Boost needs a baseline, for no two cars share a target; a reading that tells nothing alone is left out.
    """
    found: dict[str, str] = {}
    if (kpa := readings.get(ReadingKind.IDLE_VACUUM)) is not None:
        found["idle_vacuum"] = idle_vacuum(kpa, healthy.get(ReadingKind.IDLE_VACUUM, USUAL_IDLE))
    if (kpa := readings.get(ReadingKind.FIRST_START_VACUUM)) is not None:
        usual = healthy.get(ReadingKind.FIRST_START_VACUUM) or healthy.get(ReadingKind.IDLE_VACUUM, USUAL_IDLE)
        outcome = first_start_vacuum(kpa, usual, found.get("idle_vacuum"))
        if outcome is not None:
            found["first_start_vacuum"] = outcome
    for kind in (ReadingKind.PEAK_BOOST, ReadingKind.STEADY_BOOST):  # held boost has the last word over a peak
        if kind in readings and kind in healthy:
            found["boost_level"] = boost_level(readings[kind], ambient_kpa, healthy[kind])
    if (seconds := readings.get(ReadingKind.VACUUM_RECOVERY)) is not None:
        found["vacuum_recovery"] = vacuum_recovery(seconds, healthy.get(ReadingKind.VACUUM_RECOVERY, USUAL_RECOVERY))
    for kind in (ReadingKind.FUEL_TRIM_IDLE, ReadingKind.FUEL_TRIM_LOAD):
        if kind in readings:
            found[kind.value] = fuel_trim(readings[kind], healthy.get(kind, USUAL_TRIM))
    return found
