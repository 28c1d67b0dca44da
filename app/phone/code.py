"""Scannable codes (ISO/IEC 18004): as SVG for a page, as half blocks for a terminal."""

from io import BytesIO

import segno

# The quiet zone of ISO/IEC 18004 section 5.3.8: four modules of light on every side.
_BORDER = 4


def svg(text: str) -> str:
    """An SVG of fixed black on white, whatever the page's colours: scanners want dark on light. No style in it."""
    return segno.make(text, error="m", micro=False).svg_inline(
        border=_BORDER, light="#ffffff", dark="#000000", omitsize=True, svgclass="code", lineclass=None
    )


def half_blocks(text: str, *, coloured: bool) -> str:
    """Lines for a terminal, two modules to a character.

    `coloured` sets black on white itself; without it the blocks are the light modules, which suits the usual terminal
    of light text on dark.
    """
    made = segno.make(text, error="l", micro=False)
    rows = [[bool(module) for module in row] for row in made.matrix_iter(border=_BORDER)]
    if len(rows) % 2:
        rows.append([False] * len(rows[0]))
    shapes = {(False, False): "█", (False, True): "▀", (True, False): "▄", (True, True): " "}
    pairs = zip(rows[::2], rows[1::2], strict=True)
    lines = ["".join(shapes[pair] for pair in zip(upper, lower, strict=True)) for upper, lower in pairs]
    # Foreground white, background black, of the 256-colour table: the 16 named ones are themed out of true.
    return "\n".join(f"\x1b[38;5;231;48;5;16m{line}\x1b[0m" if coloured else line for line in lines)


def svg_file(text: str) -> bytes:
    """The same as a picture of its own, as a page shows or prints it."""
    out = BytesIO()
    segno.make(text, error="m", micro=False).save(
        out, kind="svg", border=_BORDER, light="#ffffff", dark="#000000", omitsize=True, xmldecl=False, svgclass=None
    )
    return out.getvalue()
