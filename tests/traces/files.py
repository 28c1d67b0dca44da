"""Log files for tests, made of figures that are known."""

from collections.abc import Iterable, Sequence

from app.traces.file_form import Clock, Column, Decimal, FileForm

PIECE = 1 << 16


def parts(text: str | bytes, size: int = PIECE) -> Iterable[bytes]:
    """A file as it comes: piece by piece."""
    whole = text.encode() if isinstance(text, str) else text
    return [whole[n : n + size] for n in range(0, len(whole), size)]


def form(  # of a file with a header
    *columns: tuple[str, str] | tuple[str, str, str],
    clock: Clock = "seconds",
    delimiter: str = ",",
    decimal: Decimal = ".",
    encoding: str = "utf-8",
) -> FileForm:
    """A form with the time first, then these columns: name, channel, unit."""
    whole: Sequence[Column] = (Column("time"), *(Column(*one) for one in columns))
    return FileForm(encoding, delimiter, decimal, 2, 0, clock, tuple(whole))
