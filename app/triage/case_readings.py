"""The readings and baselines of a case file, as numbers in one unit each."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.airpath.readings import READINGS, ReadingKind
from app.triage.strict import CaseError, a_number, a_text, an_object, did_you_mean, only_keys
from app.workings.pressure import Basis, ImpossiblePressure, to_absolute_kpa
from app.workings.spread import Baseline
from app.workings.units import PressureUnit, TimeUnit, UnitMismatch, UnknownUnit, convert, unit_of

#: The standard atmosphere at sea level, where a case names no ambient pressure (ISO 2533).
SEA_LEVEL_KPA = 101.325

_KEYS = ("value", "unit", "basis", "ambient_kpa")
_BASELINE_KEYS = (*_KEYS, "spread")
_VACUUM = (ReadingKind.IDLE_VACUUM, ReadingKind.FIRST_START_VACUUM)
_BOOST = (ReadingKind.PEAK_BOOST, ReadingKind.STEADY_BOOST)

#: Spread of a baseline that names none: kPa for pressures, s, %.
_SPREAD: dict[ReadingKind, float] = {
    ReadingKind.IDLE_VACUUM: 1.2,
    ReadingKind.FIRST_START_VACUUM: 1.2,
    ReadingKind.PEAK_BOOST: 2.3,
    ReadingKind.STEADY_BOOST: 2.3,
    ReadingKind.VACUUM_RECOVERY: 0.2,
    ReadingKind.FUEL_TRIM_IDLE: 2.5,
    ReadingKind.FUEL_TRIM_LOAD: 2.5,
}


@dataclass(frozen=True, slots=True)
class Figure:
    """One reading: kPa absolute for pressures (with the ambient pressure it was read in), s, or %."""

    value: float
    ambient_kpa: float
    spread: float | None


def figures(value: object, where: str, *, baseline: bool = False) -> dict[ReadingKind, Figure]:
    """The readings under `readings` or `baseline`, by kind. Raises CaseError naming the key that is wrong."""
    found: dict[ReadingKind, Figure] = {}
    for key, given in an_object(value, where).items():
        kind = _kind(key, where)
        if given is not None:
            found[kind] = _figure(kind, given, f"{where}.{key}", _BASELINE_KEYS if baseline else _KEYS)
    return found


def baselines(found: Mapping[ReadingKind, Figure]) -> dict[ReadingKind, Baseline]:
    """Each baseline figure with its spread, given or usual; kinds that become no sign are left out."""
    return {
        kind: Baseline(figure.value, figure.spread or _SPREAD[kind], 0)
        for kind, figure in found.items()
        if kind in _SPREAD
    }


def ambient_at_boost(found: Mapping[ReadingKind, Figure]) -> float:
    """The ambient pressure boost was read in, kPa absolute; sea level when no boost was read."""
    return next((found[kind].ambient_kpa for kind in _BOOST if kind in found), SEA_LEVEL_KPA)


def _kind(key: str, where: str) -> ReadingKind:
    known = [kind.value for kind in ReadingKind if kind is not ReadingKind.FREE]
    if key == "boost_level":  # the sign's own name: boost that is held
        return ReadingKind.STEADY_BOOST
    if key not in known:
        raise CaseError(f'{where}: no reading is called "{key}"{did_you_mean(key, known)}')
    return ReadingKind(key)


def _figure(kind: ReadingKind, given: object, where: str, keys: tuple[str, ...]) -> Figure:
    content = an_object(given, where) if isinstance(given, dict) else {"value": given}
    only_keys(content, keys, where)
    if "value" not in content:
        raise CaseError(f'{where}: "value" is missing')
    value = a_number(content["value"], f"{where}.value" if isinstance(given, dict) else where)
    ambient = a_number(content.get("ambient_kpa", SEA_LEVEL_KPA), f"{where}.ambient_kpa", least=30.0)
    unit, basis = _unit(content, where), _basis(content, where)
    spread = a_number(content["spread"], f"{where}.spread", least=1e-6) if "spread" in content else None
    try:
        if READINGS[kind].quantity == "pressure":
            return _pressure(kind, (value, unit, basis), ambient, spread)
        if READINGS[kind].quantity == "time":
            seconds = unit_of(unit or "s", TimeUnit)
            a_number(value, where, least=0.0)
            return Figure(convert(value, seconds, TimeUnit.SECOND), ambient, spread)
    except (ImpossiblePressure, UnitMismatch, UnknownUnit) as error:
        raise CaseError(f"{where}: {error}") from error
    if unit is not None and unit not in READINGS[kind].units:
        raise CaseError(f'{where}: "{unit}" is not a unit for this{did_you_mean(unit, READINGS[kind].units)}')
    return Figure(value, ambient, spread)


def _unit(content: Mapping[str, object], where: str) -> str | None:
    return a_text(content["unit"], f"{where}.unit") if content.get("unit") is not None else None


def _basis(content: Mapping[str, object], where: str) -> Basis | None:
    if content.get("basis") is None:
        return None
    word = a_text(content["basis"], f"{where}.basis")
    known = [basis.value for basis in Basis]
    if word not in known:
        raise CaseError(f'{where}.basis: "{word}" is not known{did_you_mean(word, known)}')
    return Basis(word)


def _pressure(
    kind: ReadingKind, given: tuple[float, str | None, Basis | None], ambient: float, spread: float | None
) -> Figure:
    value, unit_key, basis = given
    unit = unit_of(unit_key, PressureUnit) if unit_key is not None else _usual_unit(kind, value)
    if basis is None:
        basis = Basis.VACUUM if kind in _VACUUM and value >= 0 else Basis.GAUGE
    spread_kpa = convert(spread, unit, PressureUnit.KPA) if spread is not None else None
    return Figure(to_absolute_kpa(value, unit, basis, ambient), ambient, spread_kpa)


def _usual_unit(kind: ReadingKind, value: float) -> PressureUnit:
    """The unit a bare number must be in, from its size: nobody idles at 20 bar of vacuum or boosts 15 bar."""
    size = abs(value)
    if kind in _BOOST:
        sizes = ((4.0, PressureUnit.BAR), (45.0, PressureUnit.PSI), (450.0, PressureUnit.KPA))
    else:
        sizes = ((1.0, PressureUnit.BAR), (30.0, PressureUnit.INHG), (101.0, PressureUnit.KPA))
    return next((unit for largest, unit in sizes if size <= largest), PressureUnit.MMHG)
