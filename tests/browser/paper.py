"""What a PDF that Chromium made says, page by page: enough of a reader to hold a print to its words."""

import re
import zlib

_OBJECT = re.compile(rb"(\d+) 0 obj\b(.*?)\bendobj", re.DOTALL)
_STREAM = re.compile(rb"/Length (\d+)\b.*?\bstream\r?\n", re.DOTALL)
_TO = re.compile(rb"/(\w+) (\d+) 0 R")
_SHOWN = re.compile(rb"/(\w+) [\d.]+ Tf|<([0-9A-Fa-f]+)> ?Tj|\[((?:<[0-9A-Fa-f]*>|[-\d.\s]+)*)\] ?TJ|(T[dmD*]|ET)\b")


def pages(pdf: bytes) -> list[str]:
    """The text of each page, words run together as they were drawn, without spaces (which are seldom drawn)."""
    objects = {int(number): body for number, body in _OBJECT.findall(pdf)}
    found = [body for body in objects.values() if re.search(rb"/Type\s*/Page\b(?!s)", body)]
    return [_text(objects, body) for body in found]


def _text(objects: dict[int, bytes], page: bytes) -> str:
    fonts = _fonts(objects, page)
    contents = re.search(rb"/Contents (\d+) 0 R", page)
    assert contents is not None
    letters, said = {}, []
    for font, plain, many, _ in _SHOWN.findall(_stream(objects[int(contents[1])])):
        if font:
            letters = fonts.get(font, {})
        for run in [plain, *re.findall(rb"<([0-9A-Fa-f]*)>", many)]:
            said += [letters.get(run[at : at + 4].upper(), "") for at in range(0, len(run), 4)]
    return "".join(said).replace("\N{NO-BREAK SPACE}", "").replace(" ", "")


def _fonts(objects: dict[int, bytes], page: bytes) -> dict[bytes, dict[bytes, str]]:
    held = re.search(rb"/Font\s*(?:(\d+) 0 R|<<(.*?)>>)", page, re.DOTALL)
    assert held is not None
    named = objects[int(held[1])] if held[1] else held[2]
    found = {}
    for name, number in _TO.findall(named):
        spelt = re.search(rb"/ToUnicode (\d+) 0 R", objects[int(number)])
        found[name] = _letters(_stream(objects[int(spelt[1])])) if spelt else {}
    return found


def _letters(table: bytes) -> dict[bytes, str]:
    found = {}
    for block in re.findall(rb"beginbfchar(.*?)endbfchar", table, re.DOTALL):
        for code, text in re.findall(rb"<(\w+)> <(\w+)>", block):
            found[code.upper()] = bytes.fromhex(text.decode()).decode("utf-16-be")
    for block in re.findall(rb"beginbfrange(.*?)endbfrange", table, re.DOTALL):
        for first, last, text in re.findall(rb"<(\w+)> <(\w+)> <(\w+)>", block):
            start = int(text, 16)
            for n in range(int(first, 16), int(last, 16) + 1):
                found[b"%04X" % n] = chr(start + n - int(first, 16))
    return found


def _stream(body: bytes) -> bytes:
    # As long as it says (ISO 32000-1, 7.3.8.1): what is packed may itself end in what looks like the end of a line.
    begins = _STREAM.search(body)
    assert begins is not None
    held = body[begins.end() : begins.end() + int(begins[1])]
    return zlib.decompress(held) if b"FlateDecode" in body[: begins.end()] else held
