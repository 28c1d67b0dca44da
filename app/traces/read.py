"""A log file into a trace. What can't be read is counted and named, never dropped unsaid."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.traces.at_once import figures_of
from app.traces.cells import NAMED, Odd, Wanted
from app.traces.clock import DATED, in_order
from app.traces.file_form import OWN, FileForm
from app.traces.lines import Block, blocks
from app.traces.trace import Samples, Trace
from app.traces.units import Scale, units_for

_FIRST_ROWS = 50_000


class UnreadableError(ValueError):
    """Nothing of this file can be made into a trace; the message is a plain sentence."""


@dataclass(frozen=True, slots=True)
class Read:
    """A file read: its trace, and what was odd.

    `begun` is the first stamp, in seconds since 1970 by the logger's own clock, where that tells the day. `bad_rows`
    were left out, `bad_cells` hold no figure; `trouble` names the first of them, each with its line. `notes` are
    sentences about the whole.
    """

    trace: Trace
    begun: float | None
    bad_rows: int
    bad_cells: int
    trouble: Sequence[tuple[int, str]]
    notes: Sequence[str]


def read(parts: Iterable[bytes], form: FileForm, ambient_kpa: float | None = None) -> Read:
    """Read a file that comes in parts; memory grows with its figures, not with its text.

    `ambient_kpa` is the air around the car, absolute, for pressures by a gauge where the file has no barometer. Raises
    UnreadableError where no row can be read, or a gauge's pressure has no air to be added to.
    """
    wanted, odd, columns = Wanted.of(form), Odd(), _Columns(len(Wanted.of(form).columns))
    for block in blocks(parts, form.encoding):
        if (rest := _below(block, form.first_line)) is not None:
            found = figures_of(rest, wanted, odd)
            columns.add(found.at, found.figures.T, found.lines)
    stamps, figures, lines = columns.whole()
    if not stamps.size:
        raise UnreadableError("No row of figures could be read. " + _first(odd))
    order = in_order(stamps, form.clock)
    for row, why in order.out[:NAMED]:
        odd.row(int(lines[row]), why)
    odd.rows += max(0, len(order.out) - NAMED)
    kept = slice(None) if len(order.rows) == stamps.size else order.rows
    raw = {n: one[kept] for n, one in zip(wanted.columns, figures, strict=True)}
    trace = Trace(order.at - order.at[0], _channels(raw, form, ambient_kpa))
    begun = float(order.at[0]) if form.clock in DATED else None
    return Read(trace, begun, odd.rows, odd.cells, tuple(sorted(odd.named)), tuple(order.notes))


def ambient_of(trace: Trace) -> float | None:
    """The pressure of the air around the car, kPa absolute, by the log's own barometer: its median; None without."""
    if not trace.has("barometer"):
        return None
    return float(np.nanmedian(trace.channels["barometer"]))


def needs_ambient(form: FileForm) -> bool:
    """Whether the air around the car has to be said for this form: a gauge's pressure, and no barometer."""
    channels = {one.channel: one for one in form.columns}
    return "barometer" not in channels and any(_scale(one.channel, one.unit).gauge for one in form.columns)


def _first(odd: Odd) -> str:
    return " ".join(f"Line {line}: {why}" for line, why in odd.named[:1]) or "There is nothing below the header."


def _below(block: Block, first: int) -> Block | None:
    """What of a block is figures: nothing above the first line of them."""
    if block.first >= first:
        return block
    lines = block.text.split(b"\n", first - block.first)
    return Block(first, lines[-1]) if len(lines) > first - block.first and lines[-1] else None


def _channels(raw: dict[int, Samples], form: FileForm, ambient_kpa: float | None) -> dict[str, Samples]:
    named = {form.columns[n].channel: n for n in raw}
    ambient: Samples | float | None = ambient_kpa
    if "barometer" in named:
        barometer = _scaled(raw[named["barometer"]], form, named["barometer"], 0.0)
        if np.isfinite(barometer).any():
            ambient = np.where(np.isfinite(barometer), barometer, np.nanmedian(barometer))
    found: dict[str, Samples] = {}
    for number, figures in raw.items():
        column = form.columns[number]
        if _scale(column.channel, column.unit).gauge and ambient is None:
            raise UnreadableError(f"“{column.name}” is a gauge's pressure: say how high the air around the car stood.")
        name = _own_name(column.name, found) if column.channel == OWN else column.channel
        found[name] = _scaled(figures, form, number, ambient if ambient is not None else 0.0)
    return found


def _scaled(figures: Samples, form: FileForm, number: int, ambient: Samples | float) -> Samples:
    column = form.columns[number]
    scale = _scale(column.channel, column.unit)
    plain = scale.times == 1 and scale.plus == 0 and not scale.gauge
    return figures if plain else scale(figures, ambient)


def _scale(channel: str, unit: str) -> Scale:
    return (units_for(channel) or {}).get(unit, Scale(""))


def _own_name(name: str, taken: dict[str, Samples]) -> str:
    # A channel of ours is never hidden by a column that happens to be called so.
    plain = f"{name} (own)" if units_for(name) is not None else name
    count = 2
    found = plain
    while found in taken:
        found, count = f"{plain} ({count})", count + 1
    return found


class _Columns:
    """Columns that grow: each by itself, so that growing never needs a second copy of them all."""

    def __init__(self, count: int) -> None:
        self._size = 0
        self._at: Samples = np.empty(_FIRST_ROWS)
        self._lines: NDArray[np.int32] = np.empty(_FIRST_ROWS, np.int32)
        self._columns: list[Samples] = [np.empty(_FIRST_ROWS) for _ in range(count)]

    def add(self, at: Samples, columns: Samples, lines: NDArray[np.int32]) -> None:
        """Put rows below those that are there."""
        end = self._size + at.size
        if end > self._at.size:
            self._resize(max(end, self._at.size * 2))
        self._at[self._size : end] = at
        self._lines[self._size : end] = lines
        for kept, more in zip(self._columns, columns, strict=True):
            kept[self._size : end] = more
        self._size = end

    def whole(self) -> tuple[Samples, list[Samples], NDArray[np.int32]]:
        """The stamps, the columns and the lines; no more can be added."""
        self._resize(self._size)
        return self._at, self._columns, self._lines

    def _resize(self, size: int) -> None:
        self._lines.resize(size, refcheck=False)
        for one in (self._at, *self._columns):
            one.resize(size, refcheck=False)
