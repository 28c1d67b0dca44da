"""Whether "30 %" comes true three times in ten: `python -m tests.bench.reliability .pictures/reliability.svg`.

Every fault of the bench is triaged by its signs alone and counts as often as the program's own base rates say; each
probability given to a suspect is held against whether that suspect was the one.
"""

import sys
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from app.airpath.words import Layout
from tests.bench.judging import Verdict, faults, judged
from tests.bench.summary import share_of

_EDGES = (0.0, 0.01, 0.03, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 1.0)
_SIZE, _MARGIN = 320, 44


@dataclass(frozen=True, slots=True)
class Bin:
    """Probabilities of about the same size: how many were given, their mean, and the share that came true."""

    count: int
    said: float
    came_true: float


def bins(verdicts: Iterable[Verdict]) -> list[Bin]:
    """The reliability of all probabilities given, from low to high; empty bins are left out."""
    given: list[list[tuple[float, bool, float]]] = [[] for _ in _EDGES[1:]]
    for verdict in verdicts:
        if not verdict.shown:
            continue
        weight = share_of(verdict)
        for suspect, chance in verdict.chances.items():
            place = next(n for n, edge in enumerate(_EDGES[1:]) if chance <= edge)
            given[place].append((chance, suspect == verdict.fault.candidate, weight))
    return [_bin(each) for each in given if each]


def _bin(given: Sequence[tuple[float, bool, float]]) -> Bin:
    total = sum(weight for _, _, weight in given)
    said = sum(chance * weight for chance, _, weight in given) / total
    return Bin(len(given), said, sum(weight for _, right, weight in given if right) / total)


def drawn(found: Sequence[Bin]) -> str:
    """The reliability diagram as SVG: said across, came true upwards, on the diagonal where both agree."""
    whole = _SIZE + 2 * _MARGIN
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {whole} {whole}" font-family="sans-serif"'
        ' font-size="11">',
        "<title>Reliability: what was said, and how often it came true</title>",
        f'<rect width="{whole}" height="{whole}" fill="#fff"/>',
        f'<path d="M{_x(0)} {_y(0)}H{_x(1)}M{_x(0)} {_y(0)}V{_y(1)}" stroke="#111" fill="none"/>',
        f'<path d="M{_x(0)} {_y(0)}L{_x(1)} {_y(1)}" stroke="#777" stroke-dasharray="4 4" fill="none"/>',
    ]
    for tenth in range(0, 11, 2):
        share = tenth / 10
        lines += [
            f'<text x="{_x(share)}" y="{_y(0) + 16}" text-anchor="middle">{10 * tenth} %</text>',
            f'<text x="{_x(0) - 6}" y="{_y(share) + 4}" text-anchor="end">{10 * tenth} %</text>',
        ]
    points = " ".join(f"{_x(each.said)},{_y(each.came_true)}" for each in found)
    lines.append(f'<polyline points="{points}" fill="none" stroke="#a33c00"/>')
    lines += [
        f'<circle cx="{_x(each.said)}" cy="{_y(each.came_true)}" r="4" fill="#a33c00"/>'
        f'<text x="{_x(each.said) + 7}" y="{_y(each.came_true) + 12}" fill="#555">{each.count}</text>'
        for each in found
    ]
    lines += [
        f'<text x="{_x(0.5)}" y="{whole - 8}" text-anchor="middle">said</text>',
        f'<text x="{_x(0)}" y="{_MARGIN - 14}" text-anchor="middle">came true</text>',
        "</svg>",
    ]
    return "\n".join(lines) + "\n"


def _x(share: float) -> float:
    return round(_MARGIN + share * _SIZE, 1)


def _y(share: float) -> float:
    return round(_MARGIN + (1 - share) * _SIZE, 1)


def _all_of(layout: Layout) -> list[Verdict]:
    return [judged(layout, number) for number in range(len(faults(layout)))]


def main(target: str) -> None:
    """Run every fault, print the table and draw the diagram to `target`."""
    with ProcessPoolExecutor(2) as pool:
        found = bins(verdict for group in pool.map(_all_of, Layout) for verdict in group)
    print(f"{'given':>8}{'said':>9}{'came true':>12}")
    for each in found:
        print(f"{each.count:8}{100 * each.said:8.1f}%{100 * each.came_true:11.1f}%")
    Path(target).write_text(drawn(found), encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:])
