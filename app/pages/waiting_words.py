"""The words the page of what waits needs to show an entry's fields: what each is called, and what may be chosen."""

import types
import typing
from collections.abc import Iterator
from enum import StrEnum
from functools import cache

from app.records.field_words import field_word
from app.records.fields import Fields, Flag
from app.records.kinds import KINDS
from app.records.refusals import label_of


@cache
def field_words() -> dict[str, str]:
    """Field -> its word, of every field of any kind whose own name is not word enough."""
    names = {name for kind in KINDS.values() for name in kind.field_names}
    return {name: field_word(name) for name in sorted(names) if field_word(name) != name.replace("_", " ")}


@cache
def choices() -> dict[str, dict[str, list[tuple[str, str]]]]:
    """Kind -> field -> (stored word, printed word) of each thing that may be chosen there."""
    found = {kind.name: dict(_choices_of(kind.fields)) for kind in KINDS.values()}
    return {name: fields for name, fields in found.items() if fields}


def _choices_of(fields: type[Fields]) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    for name, of in typing.get_type_hints(fields, include_extras=True).items():
        if name in fields.model_fields and (stored := list(_stored(of))):
            yield name, [(one, label_of(one)) for one in stored]


def _stored(of: object) -> Iterator[str]:
    if of == Flag:
        yield from ("yes", "no")
    elif typing.get_origin(of) is typing.Literal:
        yield from (str(one) for one in typing.get_args(of))
    elif isinstance(of, type) and issubclass(of, StrEnum):
        yield from (str(one) for one in of)
    elif isinstance(of, types.UnionType) or typing.get_origin(of) is typing.Union:
        for one in typing.get_args(of):
            yield from _stored(one)
