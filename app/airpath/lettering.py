"""Names broken into lines that fit their boxes.

The widths are those of Barlow Semi Condensed, rounded up in five classes, so that a label set by them fits when
drawn in that face. Measured in Chromium at 100 px; a wider fallback face may touch the box's edge but not leave
the drawing.
"""

from app.airpath.geometry import Box, Point

#: Height of the drawing's text in viewBox units: 13.9 px on a 412 px screen.
TEXT = 14.0
#: From one line of text to the next.
LEADING = 15.5
#: Between the text and the box's edge.
PADDING = 3.5

_NARROW = frozenset("iljI.,:;'!|")
_SLIM = frozenset("frt()-1 ")
_WIDE = frozenset("mwMW@%&…–—")


def text_width(text: str) -> float:
    """How wide `text` is at most, in viewBox units, at the drawing's text size."""
    return TEXT * sum(_em(letter) for letter in text)


def _em(letter: str) -> float:
    if letter in _NARROW:
        return 0.28
    if letter in _SLIM:
        return 0.35
    if letter in _WIDE:
        return 0.75
    return 0.57 if letter.isupper() else 0.5


def wrap(name: str, box: Box) -> tuple[tuple[str, Point], ...]:
    """The lines of a box's label, each with the point its middle sits on; empty when nothing fits.

    A word too long for the box is cut and ends in an ellipsis; so is the last line when there are too many.
    The whole name stays in the box's title.
    """
    width, most = box.w - 2 * PADDING, int((box.h - 4) // LEADING)
    if most < 1 or width < TEXT:
        return ()
    lines = _fill(name.split(), width)
    if len(lines) > most:
        lines = [*lines[: most - 1], lines[most - 1] + "…"]
    lines = [_cut(line, width) for line in lines]
    top = box.centre.y - LEADING * (len(lines) - 1) / 2
    return tuple((line, Point(box.centre.x, top + LEADING * i)) for i, line in enumerate(lines))


def _fill(words: list[str], width: float) -> list[str]:
    lines: list[str] = []
    for word in words:
        if lines and text_width(f"{lines[-1]} {word}") <= width:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return lines


def _cut(line: str, width: float) -> str:
    if text_width(line) <= width:
        return line
    line = line.removesuffix("…")
    while line and text_width(line + "…") > width:
        line = line[:-1]
    return line + "…"
