"""The words for parts: their states and kinds, the boxes of a specification, and what the phone works out of them."""

from app.airpath.words import HOLD_LABEL, MATERIAL_LABEL
from app.pages.follows import Rules

STATES = {
    "wanted": "wanted",
    "ordered": "ordered",
    "here": "here",
    "fitted": "fitted",
    "shelf": "on the shelf",
    "gone": "gone",
}
KINDS = {
    "hose": "hose or pipe",
    "clamp": "clamp",
    "fastener": "fastener",
    "fluid": "fluid",
    "other": "other part",
    "work": "work, no part",
}
CONDITIONS = {"new": "new", "used": "used", "worn": "worn", "unknown": "not known"}
#: Labels as a part's pages look them up.
LABELS = {
    "state": STATES,
    "kind": KINDS,
    "condition": CONDITIONS,
    "material": {material.value: label for material, label in MATERIAL_LABEL.items()},
    "hold": {hold.value: label for hold, label in HOLD_LABEL.items()},
    "needs_cutting": {"yes": "has to be cut", "no": "fits as it is"},
}
#: A specification, group by group: for which kinds, and each box's field, label and unit ("" for words).
SPEC: tuple[tuple[str, tuple[tuple[str, str, str], ...]], ...] = (
    ("hose other", (("bore_mm", "Bore", "mm"), ("wall_mm", "Wall", "mm"))),
    ("hose fastener other", (("length_mm", "Length", "mm"),)),
    ("hose", (("plies", "Plies", "n"),)),
    ("hose clamp other", (("stands_c", "Stands", "°C"), ("stands_kpa", "Stands", "kPa"))),
    (
        "clamp",
        (("range_low_mm", "Smallest diameter", "mm"), ("range_high_mm", "Largest", "mm"), ("band_mm", "Band", "mm")),
    ),
    ("fastener", (("thread", "Thread", ""), ("strength_class", "Class", ""))),
)
#: What follows on the pages of a car's parts.
OF_PARTS: Rules = {
    "part": {
        "place": {"first": ["line/{line} name", "component/{component} name", "position"]},
        "stage_name": {"first": ["stage/{stage} name"]},
    }
}
