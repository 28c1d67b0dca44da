"""The chart's lettering: how wide words are at most, and how they break into lines."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from app.airpath import lettering

#: Height of the text, pt as printed: 8 pt is what can be read at arm's length, no source.
TEXT = 8.3
#: From one line to the next, pt.
LEADING = 9.8
#: How wide the faces run at most beside the drawing's own measure, whose letters are rounded up one by one; measured
#: in Chromium over every name and question there is.
_REGULAR = 0.96
_STRONG = 0.98
#: Figures are all as wide as the widest, so that they stand in columns.
_FIGURES = str.maketrans("123456789", "000000000")


@dataclass(frozen=True, slots=True)
class Run:
    """Words in one face."""

    text: str
    strong: bool = False

    @property
    def width(self) -> float:
        """At most, pt."""
        return _width(self.text, strong=self.strong)


Line = tuple[Run, ...]


def width_of(line: Sequence[Run]) -> float:
    """How wide a line is at most, pt."""
    return sum(run.width for run in line)


@lru_cache(maxsize=4096)
def _width(text: str, *, strong: bool) -> float:
    at_most = lettering.text_width(text.translate(_FIGURES)) / lettering.TEXT * TEXT
    return at_most * (_STRONG if strong else _REGULAR)


# A chart is drawn again with every box that is tried; most of its lines stay as they are.
@lru_cache(maxsize=1024)
def broken(runs: Line, width: float) -> tuple[Line, ...]:
    """Runs broken at their spaces into lines of at most `width` pt; a single word may stand out."""
    lines: list[list[Run]] = [[]]
    used = 0.0
    for word in _words(runs):
        # The space a line ends with takes no room on it.
        if lines[-1] and used + width_of(_trimmed(word)) > width:
            lines.append([])
            used = 0.0
        lines[-1] += word
        used += width_of(word)
    return tuple(_joined(_trimmed(line)) for line in lines)


def _words(runs: Sequence[Run]) -> list[list[Run]]:
    """What no line may break, each with the space behind it; a word may begin in one face and end in the other."""
    words: list[list[Run]] = [[]]
    for run in runs:
        *whole, last = run.text.split(" ")
        for text in whole:
            words[-1].append(Run(f"{text} ", run.strong))
            words.append([])
        if last:
            words[-1].append(Run(last, run.strong))
    return [word for word in words if word]


def _trimmed(line: Sequence[Run]) -> list[Run]:
    *before, last = line
    return [*before, Run(last.text.rstrip(" "), last.strong)]


def _joined(pieces: Sequence[Run]) -> Line:
    line: list[Run] = []
    for piece in pieces:
        if line and line[-1].strong == piece.strong:
            line[-1] = Run(line[-1].text + piece.text, piece.strong)
        else:
            line.append(piece)
    return tuple(line)
