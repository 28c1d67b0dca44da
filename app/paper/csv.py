"""A list as comma-separated values (RFC 4180): a header line, CRLF, quotes where they are needed, UTF-8.

A spreadsheet takes a cell that begins with =, +, -, @ or a tab for a formula, and would run what a stranger typed as
the name of a part. Such text gets an apostrophe in front (OWASP, "CSV Injection"); figures are left as they are.
"""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence

Cell = str | int | float | bool | None
#: What the answer to a request says of itself (RFC 4180, section 3).
MEDIA_TYPE = "text/csv; charset=utf-8; header=present"

# The full-width signs too: some spreadsheets read them as the plain ones.
_FORMULA = re.compile("'*[=+\\-@\t\r\n\uff1d\uff0b\uff0d\uff20]")


def written(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """The whole file as text: `header`, then every row; nothing is an empty cell, a flag yes or no."""
    out = io.StringIO(newline="")
    lines = csv.writer(out, lineterminator="\r\n")
    lines.writerow(header)
    lines.writerows([_cell(one) for one in row] for row in rows)
    return out.getvalue()


def read_back(text: str) -> list[dict[str, str]]:
    """The rows of such a file by the names of its header, with the apostrophes taken off again."""
    found = csv.DictReader(io.StringIO(text, newline=""))
    return [{name: unguarded(value or "") for name, value in row.items()} for row in found]


def guarded(text: str) -> str:
    """Text that no spreadsheet takes for a formula; `unguarded` gives back what it was."""
    return f"'{text}" if _FORMULA.match(text) else text


def unguarded(text: str) -> str:
    """What `guarded` was given."""
    return text[1:] if text.startswith("'") and _FORMULA.match(text) else text


def attachment(name: str) -> Mapping[str, str]:
    """Headers of a download whose file is called so, whatever letters the name holds (RFC 6266, RFC 8187)."""
    plain = re.sub(r"[^A-Za-z0-9._-]+", "-", name).strip("-.") or "file"
    spelt = "".join(chr(b) if (chr(b).isalnum() and b < 128) or chr(b) in "._-" else f"%{b:02X}" for b in name.encode())
    return {"content-disposition": f"attachment; filename=\"{plain}\"; filename*=UTF-8''{spelt}"}


def _cell(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return guarded(value) if isinstance(value, str) else f"{value:.10g}"
