"""Why an entry is refused, in plain words, one sentence a field."""

from collections.abc import Mapping, Sequence
from enum import StrEnum
from typing import Any

from pydantic import ValidationError

from app.airpath.readings import CONDITION_LABEL
from app.airpath.words import HOLD_LABEL, MATERIAL_LABEL, ROLE_LABEL, SUSPECT_LABEL, TOUCH_LABEL

_LABELS: dict[str, str] = {
    str(value): label
    for labels in (ROLE_LABEL, SUSPECT_LABEL, MATERIAL_LABEL, HOLD_LABEL, TOUCH_LABEL, CONDITION_LABEL)
    for value, label in labels.items()
}

#: Where a message about the whole record belongs when it names no field.
WHOLE = ""


def plain(error: ValidationError) -> dict[str, str]:
    """Field -> sentence. A message that starts with `field: ` belongs to that field; one that names none to WHOLE."""
    reasons: dict[str, str] = {}
    for one in error.errors(include_url=False):
        name = str(one["loc"][0]) if one["loc"] else WHOLE
        kind = "missing" if one["input"] is None else one["type"]
        sentence = _sentence(kind, one.get("ctx", {}), one["msg"])
        if name == WHOLE and ": " in sentence:
            head, _, tail = sentence.partition(": ")
            if head.isidentifier():
                name, sentence = head, tail
        reasons.setdefault(name, sentence)
    return reasons


_SENTENCES: dict[str, str] = {
    "missing": "This is needed.",
    "string_too_short": "This is needed.",
    "extra_forbidden": "There is no such field.",
    "float_parsing": "Write a number, such as 5 or 5.5.",
    "float_type": "Write a number, such as 5 or 5.5.",
    "int_parsing": "Write a whole number, such as 5.",
    "int_type": "Write a whole number, such as 5.",
    "int_from_float": "Write a whole number, such as 5.",
    "int_parsing_size": "That number is far too large.",
    "bool_parsing": "Answer yes or no.",
    "bool_type": "Answer yes or no.",
    "string_type": "Write this as text.",
    "string_unicode": "Write this as text.",
}


def _sentence(kind: str, context: Mapping[str, Any], message: str) -> str:
    if limit := {name: context[name] for name in ("ge", "gt", "le", "lt") if name in context}:
        return _beyond(limit)
    if kind in {"enum", "literal_error"}:
        return "Choose one of these: " + _choices(str(context.get("expected", ""))) + "."
    if kind == "string_too_long":
        return f"Keep it to {context['max_length']} characters."
    if kind == "value_error":
        return message.removeprefix("Value error, ")
    return _SENTENCES.get(kind, message + ".")


def _beyond(limit: Mapping[str, float]) -> str:
    (name, value), *_ = limit.items()
    figure = f"{value:g}" if abs(value) < 100_000 else f"{value:,.0f}".replace(",", " ")
    return {
        "ge": f"It can't be less than {figure}.",
        "gt": f"It has to be more than {figure}.",
        "le": f"It can't be more than {figure}.",
        "lt": f"It has to be less than {figure}.",
    }[name]


def _choices(expected: str) -> str:
    values: Sequence[str] = expected.replace(" or ", ", ").replace("'", "").split(", ")
    return ", ".join(_LABELS.get(value, value.replace("_", " ")) for value in values)


def label_of(value: StrEnum | str) -> str:
    """The printed word for a stored key of the air path's vocabulary; the key itself, spaced, where there is none."""
    return _LABELS.get(str(value), str(value).replace("_", " "))
