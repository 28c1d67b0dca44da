"""What a form about a record that is already there really changes."""

from collections.abc import Mapping

from app.pages.forms import Posted
from app.pages.words import plain
from app.records.entry import Value
from app.records.kinds import KINDS

_FLAGS = {"yes": True, "no": False}


def changes(form: Posted, kind: str, current: Mapping[str, object]) -> dict[str, Value]:
    """The boxes whose text is not what the record says already, as an entry's fields.

    An entry sets a field anew, so one that repeats the whole form would undo what another phone changed meanwhile.
    Fields that are set together go together.
    """
    typed = {name: text for name, text in form.values.items() if name in KINDS[kind].field_names}
    changed = {name for name, text in typed.items() if not _same(text, current.get(name))}
    for group in KINDS[kind].together:
        if changed.intersection(group):
            changed |= typed.keys() & set(group)
    return {name: text for name, text in typed.items() if name in changed}


def _same(text: str, said: object) -> bool:
    if text in _FLAGS:
        return _FLAGS[text] == bool(said)
    return text.strip() == plain(said)
