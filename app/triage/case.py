"""A case on paper: a layout, what was touched and what was seen, read strictly and triaged."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from app.airpath.layouts import LayoutError, StarterLayout, load
from app.airpath.words import Layout, Material, Role, Suspect, TouchKind
from app.triage.at_hand import TOOLS, AtHand, EngineNow
from app.triage.case_readings import ambient_at_boost, baselines, figures
from app.triage.codes import is_code
from app.triage.from_readings import signs_from
from app.triage.inputs import Repaired
from app.triage.model import Evidence, Ranking, Touched, rank
from app.triage.signs import CODES, SIGNS, Need
from app.triage.starter import TouchedRole, candidates_of, facts_of_starter, line_meant
from app.triage.strict import (
    CaseError,
    a_flag,
    a_list,
    a_number,
    a_text,
    a_word,
    an_object,
    did_you_mean,
    only_keys,
    parsed,
)
from app.triage.table import as_json_text, as_table

__all__ = ["Case", "CaseError", "read_case", "run_case", "triage_case"]

_TOP = ("layout", "touched", "signs", "readings", "baseline", "tools", "engine", "repaired")
_REPAIRED = ("role", "material", "signs")
_TOUCHED = ("role", "how", "days_ago", "km_ago", "material", "temp_c", "checked")

#: What people call the five materials.
_MATERIALS: dict[str, Material] = {
    **{material.value: material for material in Material},
    **dict.fromkeys(("epdm", "nitrile", "nbr", "viton", "fkm", "rubber_hose"), Material.RUBBER),
    **dict.fromkeys(("nylon", "polyamide", "pa12", "pa66", "plastic", "hard plastic"), Material.HARD_PLASTIC),
    **dict.fromkeys(("pvc", "polyurethane", "soft plastic", "vinyl"), Material.SOFT_PLASTIC),
    **dict.fromkeys(("aluminium", "aluminum", "steel", "stainless", "copper", "brass"), Material.METAL),
    "silicon": Material.SILICONE,
}
#: What no job can disturb.
_UNTOUCHABLE = frozenset({Suspect.POWER_LIMIT, Suspect.SOMETHING_ELSE})
#: What only a turbocharged car has.
OF_BOOST: frozenset[Role | Suspect] = frozenset(
    {
        Role.CHARGE,
        Role.RECIRCULATION,
        Role.DIVERTER_SIGNAL,
        Role.BOOST_CONTROL,
        Suspect.DIVERTER_VALVE,
        Suspect.CHANGEOVER_SOLENOID,
        Suspect.BOOST_SOLENOID,
        Suspect.WASTEGATE,
        Suspect.TURBOCHARGER,
    }
)


@dataclass(frozen=True, slots=True)
class RepairedRole:
    """What was found and repaired before, as a case tells it, and what had been seen until then."""

    role: Role | Suspect
    material: Material | None
    signs: Mapping[str, str]
    codes: tuple[str, ...] | None


@dataclass(frozen=True, slots=True)
class Case:
    """A case file, read and found sound. With a fault `repaired`, the evidence is what was seen since."""

    layout: Layout
    touched: tuple[TouchedRole, ...]
    evidence: Evidence
    at_hand: AtHand
    repaired: RepairedRole | None


def read_case(text: str) -> Case:
    """Read a case file. Raises CaseError naming whatever is wrong in it."""
    top = parsed(text)
    only_keys(top, _TOP, "the case")
    if "layout" not in top:
        raise CaseError('the case: "layout" is missing')
    layout = a_word(top["layout"], Layout, "layout")
    touched = a_list(_or(top.get("touched"), []), "touched")
    signs, codes = _signs(top.get("signs"), "signs")
    return Case(
        layout=layout,
        touched=tuple(_touched(item, f"touched[{number}]", layout) for number, item in enumerate(touched)),
        evidence=Evidence({**_from_numbers(top), **signs}, codes),
        at_hand=AtHand(_tools(top.get("tools")), _engine(top.get("engine"))),
        repaired=None if top.get("repaired") is None else _repaired(top["repaired"], layout),
    )


def triage_case(case: Case, starter: StarterLayout) -> Ranking:
    """Rank the suspects of a case on its starter layout.

    A role touched or repaired is taken to be its likeliest line by the signs alone (those before a repair), of the
    material named where there is one.
    """
    facts = facts_of_starter(starter)
    candidates = candidates_of(starter)
    first = case.repaired
    seen = case.evidence if first is None else Evidence(first.signs, first.codes)
    untouched = rank(facts, candidates, (), seen)
    likeliest = {suspect.id: place for place, suspect in enumerate(untouched.suspects)}
    evidence = case.evidence
    if first is not None:
        mended = line_meant(first.role, first.material, candidates, likeliest)
        evidence = replace(evidence, repaired=Repaired(mended.id, first.signs, first.codes))
    touches = []
    for touch in case.touched:
        line = line_meant(touch.role, touch.material, candidates, likeliest)
        touches.append(Touched(line.id, touch.how, touch.days_ago, touch.km_ago, touch.temp_c, checked=touch.checked))
    return rank(facts, candidates, touches, evidence, at_hand=case.at_hand)


def run_case(text: str, *, as_json: bool, layouts_folder: Path) -> str:
    """Triage the case file `text` and print it, as JSON or as a table a person reads.

    Raises CaseError, its message ready for the terminal, for a file that cannot be used.
    """
    case = read_case(text)
    try:
        starter = load(case.layout, layouts_folder)
    except LayoutError as error:
        raise CaseError(str(error)) from error
    ranking = triage_case(case, starter)
    return as_json_text(ranking) if as_json else as_table(ranking, starter.name)


def _or(value: object, nothing: object) -> object:
    return nothing if value is None else value


def _touched(item: object, where: str, layout: Layout) -> TouchedRole:
    content = an_object(item, where)
    only_keys(content, _TOUCHED, where)
    for key in ("role", "how"):
        if key not in content:
            raise CaseError(f'{where}: "{key}" is missing')
    role = _role_on(layout, content["role"], f"{where}.role")

    def number(key: str, least: float | None) -> float | None:
        return a_number(content[key], f"{where}.{key}", least=least) if content.get(key) is not None else None

    return TouchedRole(
        role=role,
        how=a_word(content["how"], TouchKind, f"{where}.how"),
        days_ago=number("days_ago", 0.0),
        km_ago=number("km_ago", 0.0),
        material=_material(content.get("material"), f"{where}.material"),
        temp_c=number("temp_c", -60.0),
        checked=a_flag(content.get("checked", False), f"{where}.checked"),
    )


def _role_on(layout: Layout, value: object, where: str) -> Role | Suspect:
    role = _role(value, where)
    if layout is Layout.NATURALLY_ASPIRATED and role in OF_BOOST:
        raise CaseError(f'{where}: a naturally aspirated car has no "{role.value}"')
    return role


def _role(value: object, where: str) -> Role | Suspect:
    word = a_text(value, where)
    known: dict[str, Role | Suspect] = {role.value: role for role in Role}
    known |= {suspect.value: suspect for suspect in Suspect if suspect not in _UNTOUCHABLE}
    if word in known:
        return known[word]
    if word in {suspect.value for suspect in _UNTOUCHABLE}:
        raise CaseError(f'{where}: "{word}" is nothing a job can touch')
    raise CaseError(f'{where}: "{word}" is not known{did_you_mean(word, known)}')


def _material(value: object, where: str) -> Material | None:
    if value is None:
        return None
    word = a_text(value, where)
    found = _MATERIALS.get(word.strip().lower())
    if found is None:
        raise CaseError(f'{where}: "{word}" is not known{did_you_mean(word, [each.value for each in Material])}')
    return found


def _repaired(value: object, layout: Layout) -> RepairedRole:
    content = an_object(value, "repaired")
    only_keys(content, _REPAIRED, "repaired")
    if "role" not in content:
        raise CaseError('repaired: "role" is missing')
    role = _role_on(layout, content["role"], "repaired.role")
    return RepairedRole(
        role, _material(content.get("material"), "repaired.material"), *_signs(content.get("signs"), "repaired.signs")
    )


def _tools(value: object) -> frozenset[Need] | None:
    """The tools there are; None where the case does not say, and every one counts as there."""
    if value is None:
        return None
    known = sorted(tool.value for tool in TOOLS)
    found = []
    for number, item in enumerate(a_list(value, "tools")):
        word = a_text(item, f"tools[{number}]")
        if word not in known:
            raise CaseError(f'tools[{number}]: "{word}" is not known{did_you_mean(word, known)}')
        found.append(Need(word))
    return frozenset(found)


def _engine(value: object) -> EngineNow | None:
    return None if value is None else a_word(value, EngineNow, "engine")


def _signs(told: object, where: str) -> tuple[dict[str, str], tuple[str, ...] | None]:
    """Outcomes by sign, and the codes; a sign that is null has not been observed."""
    content = an_object(_or(told, {}), where)
    only_keys(content, (*SIGNS, CODES), where)
    signs: dict[str, str] = {}
    for key, value in content.items():
        if value is None or key == CODES:
            continue
        outcome = a_text(value, f"{where}.{key}")
        known = SIGNS[key].outcome_keys
        if outcome not in known:
            raise CaseError(f'{where}.{key}: "{outcome}" is not an outcome{did_you_mean(outcome, known)}')
        signs[key] = outcome
    return signs, _codes(content.get(CODES), f"{where}.{CODES}")


def _codes(value: object, where: str) -> tuple[str, ...] | None:
    if value is None:
        return None
    codes = []
    for number, item in enumerate(a_list(value, where)):
        code = a_text(item, f"{where}[{number}]").strip().upper()
        if not is_code(code):
            raise CaseError(f'{where}[{number}]: "{code}" does not look like a trouble code, such as P0171')
        codes.append(code)
    return tuple(codes)


def _from_numbers(top: Mapping[str, object]) -> dict[str, str]:
    readings = figures(_or(top.get("readings"), {}), "readings")
    healthy = figures(_or(top.get("baseline"), {}), "baseline", baseline=True)
    return signs_from(
        {kind: figure.value for kind, figure in readings.items()}, baselines(healthy), ambient_at_boost(readings)
    )
