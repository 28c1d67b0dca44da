"""A file that comes in parts, made into blocks of whole lines of UTF-8, in bounded memory whatever is in it."""

import codecs
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

#: Bytes of a line longer than any row of figures. Of such a line only that it is one is kept.
MOST_LINE = 1 << 20
#: What stands for a line that was longer.
TOO_LONG = b"\x1f"
#: A row may run over so many lines within quotes; a quote that is not closed by then was none.
MOST_QUOTED = 50
_BOMS = {"utf-8": codecs.BOM_UTF8, "utf-16-le": codecs.BOM_UTF16_LE, "utf-16-be": codecs.BOM_UTF16_BE}


@dataclass(frozen=True, slots=True)
class Block:
    """Whole lines, each with its end, that end in one newline each; `first` is the number of the first, from 1."""

    first: int
    text: bytes


def blocks(parts: Iterable[bytes], encoding: str) -> Iterator[Block]:
    """The lines of a file, block by block, about as large as its parts are.

    What can't be decoded becomes U+FFFD, or, in UTF-8, stays as it is. A line longer than MOST_LINE becomes TOO_LONG.
    """
    first, rest, skipping = 1, b"", False
    for part in _plain_ends(_in_utf8(parts, encoding)):
        whole = rest + part if rest else part
        if skipping:
            end = whole.find(b"\n")
            if end < 0:
                continue
            whole, skipping = TOO_LONG + whole[end:], False
        cut = _cut(whole)
        if cut:
            yield Block(first, whole[:cut])
            first += whole.count(b"\n", 0, cut)
        rest = whole[cut:]
        if len(rest) > MOST_LINE and b"\n" not in rest[-MOST_LINE:]:
            rest, skipping = b"", True
    last = TOO_LONG if skipping else rest
    if last:
        yield Block(first, last if last.endswith(b"\n") else last + b"\n")


def _in_utf8(parts: Iterable[bytes], encoding: str) -> Iterator[bytes]:
    decoder = None if encoding == "utf-8" else codecs.getincrementaldecoder(encoding)("replace")
    mark = _BOMS.get(encoding, b"")
    begun = b""
    for part in parts:
        if mark:  # the file's first bytes may come one by one
            begun += part
            if len(begun) < len(mark):
                continue
            part, mark = begun.removeprefix(mark), b""  # noqa: PLW2901
        yield part if decoder is None else decoder.decode(part).encode("utf-8", "replace")
    if mark and begun:
        yield begun if decoder is None else decoder.decode(begun).encode("utf-8", "replace")
    if decoder is not None and (left := decoder.decode(b"", final=True)):
        yield left.encode("utf-8", "replace")


def _plain_ends(parts: Iterable[bytes]) -> Iterator[bytes]:
    # A carriage return at a part's end may be half of a line's end.
    held = b""
    for part in parts:
        whole = held + part
        held = b"\r" if whole.endswith(b"\r") else b""
        yield _with_newlines(whole[:-1] if held else whole)
    if held:
        yield b"\n"


def _with_newlines(text: bytes) -> bytes:
    if b"\r" not in text:
        return text
    return text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")


def _cut(text: bytes) -> int:
    """Where to cut: after the last line's end, and not within quotes if a few lines further up will do."""
    last = end = text.rfind(b"\n")
    if b'"' in text:
        for _ in range(MOST_QUOTED):
            if end < 0 or text.count(b'"', 0, end) % 2 == 0:
                break
            end = text.rfind(b"\n", 0, end)
        else:
            end = last
        if end < 0 and len(text) > MOST_LINE:
            end = last
    return end + 1
