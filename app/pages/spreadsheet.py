"""A table as a file that a spreadsheet opens: RFC 4180, UTF-8, and nothing in it that a spreadsheet would run."""

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

from starlette.responses import Response

from app.pages.words import plain

#: A cell that begins with one of these is a formula to a spreadsheet, whatever it was to who wrote it.
_RUNS = ("=", "+", "-", "@", "\t", "\r", "\n")


def cell(value: object) -> str:
    """A value as it stands in a cell: a figure plain, nothing as nothing, and text that would be run as text."""
    text = plain(value)
    return f"'{text}" if isinstance(value, str) and text.lstrip(" ").startswith(_RUNS) else text


def sheet(name: str, head: Sequence[str], rows: Iterable[Sequence[object]]) -> Response:
    """The table as a download; `name` is the file's, without its ending."""
    written = StringIO(newline="")
    table = csv.writer(written)  # RFC 4180: commas, quotes doubled, lines ended by CR LF
    table.writerow(head)
    table.writerows([cell(value) for value in row] for row in rows)
    headers = {"content-disposition": f'attachment; filename="{name}.csv"', "cache-control": "no-store"}
    return Response(written.getvalue(), headers=headers, media_type="text/csv; charset=utf-8; header=present")
