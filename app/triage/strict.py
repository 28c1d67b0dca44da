"""Reading a case file key by key, so that whatever is wrong is refused by its name, with the nearest known one."""

import json
from collections.abc import Collection, Mapping
from difflib import get_close_matches
from enum import StrEnum
from math import isfinite
from typing import TypeVar, cast

_Word = TypeVar("_Word", bound=StrEnum)


class CaseError(ValueError):
    """A case file that cannot be used; the message names what is wrong and where."""


def parsed(text: str) -> dict[str, object]:
    """The JSON object of a case file. Raises CaseError for what is not JSON, not an object, or says a key twice."""
    try:
        content: object = json.loads(text, object_pairs_hook=_once)
    except json.JSONDecodeError as error:
        raise CaseError(f"not valid JSON: line {error.lineno}, column {error.colno}: {error.msg}") from error
    except RecursionError as error:
        raise CaseError("not a case: nested far too deeply") from error
    return an_object(content, "the case")


def _once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    seen: dict[str, object] = {}
    for key, value in pairs:
        if key in seen:
            raise CaseError(f'"{key}" is given twice')
        seen[key] = value
    return seen


def did_you_mean(word: str, known: Collection[str]) -> str:
    """The tail of a refusal: the nearest known word, or all of them when none is near and they are few."""
    near = get_close_matches(word.lower(), known, n=1, cutoff=0.5)
    if near:
        return f'; did you mean "{near[0]}"?'
    return f"; known are {', '.join(sorted(known))}" if len(known) <= 30 else ""


def an_object(value: object, where: str) -> dict[str, object]:
    """`value` as a JSON object. Raises CaseError naming `where`."""
    if not isinstance(value, dict):
        raise CaseError(f"{where} must be an object in braces")
    return cast("dict[str, object]", value)


def a_list(value: object, where: str) -> list[object]:
    """`value` as a JSON list. Raises CaseError naming `where`."""
    if not isinstance(value, list):
        raise CaseError(f"{where} must be a list in square brackets")
    return cast("list[object]", value)


def a_text(value: object, where: str) -> str:
    """`value` as text. Raises CaseError naming `where`."""
    if not isinstance(value, str):
        raise CaseError(f"{where} must be text in quotes")
    return value


def a_flag(value: object, where: str) -> bool:
    """`value` as true or false. Raises CaseError naming `where`."""
    if not isinstance(value, bool):
        raise CaseError(f"{where} must be true or false")
    return value


def a_number(value: object, where: str, *, least: float | None = None) -> float:
    """`value` as a finite number, not below `least`. Raises CaseError naming `where`."""
    if isinstance(value, bool) or not isinstance(value, (int, float)) or abs(value) > 1e9 or not isfinite(value):
        raise CaseError(f"{where} must be a number")
    if least is not None and value < least:
        raise CaseError(f"{where} cannot be below {least:g}")
    return float(value)


def a_word(value: object, words: type[_Word], where: str) -> _Word:
    """`value` as a word of a fixed vocabulary. Raises CaseError naming the word and the nearest known one."""
    text = a_text(value, where)
    try:
        return words(text)
    except ValueError:
        raise CaseError(f'{where}: "{text}" is not known{did_you_mean(text, [word.value for word in words])}') from None


def only_keys(content: Mapping[str, object], known: Collection[str], where: str) -> None:
    """Refuse a key that is not known, by name, with the nearest known one."""
    for key in content:
        if key not in known:
            raise CaseError(f'{where}: no key is called "{key}"{did_you_mean(key, known)}')
