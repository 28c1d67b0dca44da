"""The chart's lettering: how wide words are at most, and how they break into lines."""

from collections.abc import Sequence
from dataclasses import dataclass

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
        at_most = lettering.text_width(self.text.translate(_FIGURES)) / lettering.TEXT * TEXT
        return at_most * (_STRONG if self.strong else _REGULAR)


Line = tuple[Run, ...]


def width_of(line: Sequence[Run]) -> float:
    """How wide a line is at most, pt."""
    return sum(run.width for run in line)


def broken(runs: Sequence[Run], width: float) -> tuple[Line, ...]:
    """Runs broken at their spaces into lines of at most `width` pt; a single word may stand out."""
    lines: list[list[Run]] = [[]]
    used = 0.0
    for word in (Run(text, run.strong) for run in runs for text in _words(run.text)):
        # The space a line ends with takes no room on it.
        if lines[-1] and used + Run(word.text.rstrip(" "), word.strong).width > width:
            lines.append([])
            used = 0.0
        lines[-1].append(word)
        used += word.width
    return tuple(_joined(line) for line in lines)


def _words(text: str) -> list[str]:
    """The words of a text, each with the space behind it."""
    *words, last = text.split(" ")
    return [*(f"{word} " for word in words), last]


def _joined(words: Sequence[Run]) -> Line:
    line: list[Run] = []
    *all_but_last, last = words
    for word in (*all_but_last, Run(last.text.rstrip(" "), last.strong)):
        if line and line[-1].strong == word.strong:
            line[-1] = Run(line[-1].text + word.text, word.strong)
        else:
            line.append(word)
    return tuple(line)
