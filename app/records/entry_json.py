"""An entry as JSON, as exports write it and phones send it."""

from collections.abc import Mapping

from app.records.entry import Entry, Value

_TEXTS = ("id", "kind", "record", "happened_at", "entered_at")


def read_entry(one: Mapping[str, object], entered_by: str) -> Entry:
    """The entry that a JSON object tells of. Raises ValueError("key: sentence") where it is not shaped like one.

    Only the shape is judged; whether it can be taken is for the door to say.
    """
    for name in _TEXTS:
        if not _is_text(one.get(name)):
            raise ValueError(f"{name}: Write this as text.")
    version = one.get("version")
    if type(version) is not int:
        raise ValueError("version: Write a whole number.")
    texts = {name: str(one[name]) for name in _TEXTS}
    return Entry(fields=_fields(one.get("fields")), version=version, entered_by=entered_by, **texts)


def _fields(fields: object) -> dict[str, Value]:
    if not isinstance(fields, dict) or any(isinstance(value, (dict, list)) for value in fields.values()):
        raise ValueError("fields: Give each field a text, a number, a yes or no, or nothing.")
    if not all(map(_is_text, fields)):
        raise ValueError("fields: Name each field in text.")
    return fields


def _is_text(value: object) -> bool:
    # JSON can spell half a character; it could be neither kept nor told back.
    return isinstance(value, str) and (value.isascii() or not any("\ud800" <= one <= "\udfff" for one in value))
