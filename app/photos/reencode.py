"""A picture somebody sent becomes one that is safe to keep and to show.

What a file says of itself is not believed: it is opened as one of a few formats, within limits of size, turned upright,
made small and written anew. So nothing of the sent file is kept but what is seen: no place, no name, no hidden part.
"""

import hashlib
import io
import warnings
from dataclasses import dataclass

from PIL import Image, ImageOps, UnidentifiedImageError

#: Larger than any phone's picture, small enough to take over a home network.
MOST_BYTES = 16_000_000
#: 64 megapixels: some 190 MB while it is looked at.
MOST_PIXELS = 64_000_000
#: The longer side of what is kept: a clamp's mark can be read, and a year of jobs fits on a phone.
LONGEST_SIDE = 1600
_FORMATS = ("JPEG", "PNG", "WEBP")
_QUALITY = 82


class NoPictureError(ValueError):
    """Raised for what can't be kept; the sentence is for whoever sent it."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A JPEG as it is kept, its size in pixels, and the SHA-256 of what was sent (64 hexadecimal digits)."""

    jpeg: bytes
    width: int
    height: int
    sent_sha256: str


def reencode(sent: bytes) -> Picture:
    """The picture in `sent`, upright, at most LONGEST_SIDE pixels a side, with nothing in it but the picture.

    Raises NoPictureError for what is no JPEG, PNG or WebP, is broken, or has more than MOST_PIXELS.
    """
    opened = _opened(sent)
    try:
        upright = ImageOps.exif_transpose(opened)
        seen = upright if upright.mode == "RGB" else _on_white(upright)
        seen.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
        out = io.BytesIO()
        # A fresh image has no comment, profile or place that could be written along.
        plain = Image.new("RGB", seen.size)
        plain.paste(seen)
        plain.save(out, "JPEG", quality=_QUALITY, optimize=True)
    except (OSError, ValueError, SyntaxError, MemoryError, EOFError, Image.DecompressionBombError):
        raise NoPictureError("This picture is broken off or damaged. Take it again.") from None
    return Picture(out.getvalue(), *plain.size, hashlib.sha256(sent).hexdigest())


def looked_at(jpeg: bytes) -> tuple[int, int]:
    """The width and height of a picture that was kept once, out of an export. NoPictureError if it is none."""
    opened = _opened(jpeg)
    if opened.format != "JPEG" or max(opened.size) > LONGEST_SIDE or opened.getexif():
        raise NoPictureError("This is no picture as an export holds it.")
    try:
        opened.load()
    except (OSError, ValueError, SyntaxError):
        raise NoPictureError("This picture is broken off or damaged.") from None
    return opened.size


def _opened(sent: bytes) -> Image.Image:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # our own limit is looked at below
            opened = Image.open(io.BytesIO(sent), formats=_FORMATS)
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise NoPictureError("This is no picture: send a JPEG, PNG or WebP.") from None
    # The header alone has been read so far.
    if opened.width * opened.height > MOST_PIXELS:
        raise NoPictureError("This picture has more than 64 megapixels. Take a smaller one.")
    return opened


def _on_white(image: Image.Image) -> Image.Image:
    clear = image.convert("RGBA")
    white = Image.new("RGBA", clear.size, "white")
    white.alpha_composite(clear)
    return white.convert("RGB")
