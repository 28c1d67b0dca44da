"""What the pages under /workings answer, in words: boxes as typed in, what to show and what was wrong with a box out.

The phone answers the same without the garage (static/bay/workings.js); tests/browser/test_workings.py holds the two to
each other.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from app.pages.words import number, percent, wrench_range
from app.pages.working_air import air, air_numbers
from app.pages.working_boxes import LARGEST, Answer, Boxes
from app.records.wrenches import WrenchRow
from app.workings.bolts import (
    COARSE_MM,
    DRY,
    OILED,
    PROOF_MPA,
    USUAL_SHARE,
    ImpossibleBolt,
    clamped,
    proof_load,
    stress_area,
    thread_named,
    torque_for,
)
from app.workings.clamps import NEAR_MM, WORM_DRIVE, ClampFigure, published
from app.workings.torque import ImpossibleTorque, wrench_setting
from app.workings.units import TorqueUnit, convert

NEWTON_METRE, POUND_INCH = TorqueUnit.NEWTON_METRE, TorqueUnit.POUND_INCH

ANGLE = "The extension stands at 0 to 180 degrees."
FOLDED = "Folded back past the hand it turns the fastener the wrong way."
NO_FIGURE = "No published figure for a band of this width. The maker of the clamp has the word."


def extension(typed: Mapping[str, str], wrenches: Iterable[WrenchRow]) -> Answer:
    """What to set on the wrench with an extension on it, and whether it can be set to that."""
    boxes = Boxes(typed)
    wrench = next((one for one in wrenches if one.id == boxes.text("wrench")), None)
    torque, longer, angle = (
        boxes.figure("torque"),
        boxes.figure("extension", zero=True),
        boxes.figure("angle", zero=True),
    )
    lever = boxes.figure("lever")
    if not boxes.text("lever") and wrench is not None:
        lever = wrench.lever_mm
    if angle is not None and angle > 180:
        boxes.wrong["angle"] = ANGLE
    if torque is None or lever is None or longer is None or boxes.wrong:
        return Answer(wrong=boxes.wrong)
    try:
        setting = wrench_setting(torque, lever, longer, angle or 0.0)
    except ImpossibleTorque:
        return Answer(wrong={"extension": FOLDED})
    unit = boxes.unit()
    says = {"setting": f"{_three(setting)} {unit.label}"}
    if wrench is not None and not wrench.reaches(convert(setting, unit, NEWTON_METRE)):
        says["beyond"] = f"Beyond what {wrench.name} sets: {wrench_range(wrench)}. Use another wrench."
    return Answer(says)


def bolt(typed: Mapping[str, str]) -> Answer:
    """What a bolt bears, and what a torque does to it, dry and oiled."""
    boxes = Boxes(typed)
    torque, strength = boxes.figure("torque"), boxes.text("strength")
    if not boxes.text("thread") or strength not in PROOF_MPA or boxes.wrong:
        return Answer(wrong=boxes.wrong)
    try:
        thread = thread_named(boxes.text("thread"))
    except ImpossibleBolt as impossible:
        return Answer(wrong={"thread": str(impossible)})
    unit, proof = boxes.unit(), proof_load(strength, thread)
    usual = [convert(torque_for(USUAL_SHARE * proof, thread, k), NEWTON_METRE, unit) for k in (DRY, OILED)]
    says = {
        "bolt": f"{thread.label}, {strength}",
        "area": f"{_three(stress_area(thread))} mm²",
        "proof": f"{_three(proof / 1000)} kN",
        "usual": f"{_three(usual[0])} {unit.label} dry, {_three(usual[1])} {unit.label} oiled",
    }
    if torque is not None:
        for name, factor in (("dry", DRY), ("oiled", OILED)):
            found = clamped(convert(torque, unit, NEWTON_METRE), strength, thread, factor)
            says[name] = f"{_three(found.load_n / 1000)} kN, {percent(found.share)} of its proof load"
            if found.share >= 1:
                # Dry comes first, and what is too much for a dry thread is too much for an oiled one.
                where = ", dry or oiled" if "past" in says else f" {name}"
                says["past"] = f"Past the proof load{where}: the bolt is stretched for good, or breaks."
    return Answer(says)


def torque_units(typed: Mapping[str, str]) -> Answer:
    """A torque in every unit a wrench is read in."""
    boxes = Boxes(typed)
    torque, unit = boxes.figure("torque"), boxes.unit()
    if torque is None:
        return Answer(wrong=boxes.wrong)
    each = {_place(other): f"{_three(convert(torque, unit, other))} {other.label}" for other in TorqueUnit}
    return Answer(each)


def hose_clamp(typed: Mapping[str, str]) -> Answer:
    """What service tables print for a worm-drive clamp of this band, on a new hose or one clamped before."""
    boxes = Boxes(typed)
    band = boxes.figure("band")
    if band is None:
        return Answer(wrong=boxes.wrong)
    found = published(band, "new" if boxes.text("hose") == "new" else "reused")
    return Answer({f"figure{n}": _clamp(one) for n, one in enumerate(found, 1)} or {"none": NO_FIGURE})


def numbers(wrenches: Iterable[WrenchRow]) -> dict[str, Any]:
    """What the phone reckons with: every figure from the modules above, none of its own."""
    return {
        "units": {
            unit.value: {"label": unit.label, "one": unit.si_per_unit, "place": _place(unit)} for unit in TorqueUnit
        },
        "wrenches": {
            one.id: {
                "name": one.name,
                "lever": one.lever_mm,
                "least": one.smallest_nm or 0,
                "most": one.largest_nm,
                "range": wrench_range(one),
            }
            for one in wrenches
        },
        "bolts": {
            "coarse": {f"{diameter:g}": pitch for diameter, pitch in COARSE_MM.items()},
            "proof": PROOF_MPA,
            "factors": {"dry": DRY, "oiled": OILED},
            "usual": USUAL_SHARE,
        },
        "clamps": [
            [band, [guide.new_nm, guide.new_tolerance_nm], [guide.reused_nm, guide.reused_tolerance_nm], guide.source]
            for band, guide in WORM_DRIVE.items()
        ],
        "near": NEAR_MM,
        "largest": LARGEST,
        "air": air_numbers(),
    }


#: Each working by the last word of its address.
ANSWERS: Mapping[str, Callable[[Mapping[str, str], Iterable[WrenchRow]], Answer]] = {
    "extension": extension,
    "bolt": lambda typed, _: bolt(typed),
    "torque-units": lambda typed, _: torque_units(typed),
    "hose-clamp": lambda typed, _: hose_clamp(typed),
    "air": lambda typed, _: air(typed),
}


def _clamp(one: ClampFigure) -> str:
    pounds, either = (convert(nm, NEWTON_METRE, POUND_INCH) for nm in (one.torque_nm, one.tolerance_nm))
    metric = f"{number(one.torque_nm, 1)} ± {number(one.tolerance_nm, 1)} N·m"
    return f"{metric} ({number(pounds, 0)} ± {number(either, 0)} lbf·in): {number(one.band_mm)} mm band, {one.source}"


def _place(unit: TorqueUnit) -> str:
    return unit.value.replace(".", "_").lower()


def _three(value: float) -> str:
    """A worked-out figure, no finer than a wrench can be read: three figures or so."""
    return number(value, 0 if value >= 1000 else 1 if value >= 10 else 2 if value >= 0.1 else 4)
