"""A picture is judged by what is in it, and nothing of what was sent is kept but what is seen."""

import io
import struct
import zlib
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from app.photos.reencode import LONGEST_SIDE, NoPictureError, looked_at, reencode


def sent(size: tuple[int, int] = (80, 40), kind: str = "JPEG", mode: str = "RGB", **more: object) -> bytes:
    """A picture as a phone sends it: left half red, right half blue."""
    image = Image.new(mode, size, "red" if mode != "L" else 60)
    if mode == "RGB":
        image.paste("blue", (size[0] // 2, 0, size[0], size[1]))
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def opened(jpeg: bytes) -> Image.Image:
    return Image.open(io.BytesIO(jpeg))


def is_red(colour: object) -> bool:
    assert isinstance(colour, tuple)
    return bool(colour[0] > 200 and colour[2] < 60)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_of_each_kind_a_phone_takes_is_kept_as_jpeg(kind: str) -> None:
    kept = reencode(sent(kind=kind))
    assert opened(kept.jpeg).format == "JPEG"
    assert (kept.width, kept.height) == opened(kept.jpeg).size == (80, 40)


def test_a_large_picture_is_made_small_in_its_own_shape() -> None:
    kept = reencode(sent((4000, 3000)))
    assert (kept.width, kept.height) == (LONGEST_SIDE, 1200)


def test_where_it_was_taken_and_with_what_is_not_kept() -> None:
    told = Image.Exif()
    told[0x010F] = "A maker of phones"  # EXIF 2.32 table 4: Make
    told.get_ifd(0x8825)[1] = "N"  # EXIF 2.32 table 15: GPSLatitudeRef
    kept = reencode(sent(exif=told.tobytes(), comment=b"my garage"))
    assert not opened(kept.jpeg).getexif()
    assert b"maker" not in kept.jpeg
    assert b"my garage" not in kept.jpeg


def test_a_picture_taken_with_the_phone_on_its_side_stands_upright() -> None:
    told = Image.Exif()
    told[0x0112] = 6  # EXIF 2.32 section 4.6.4: Orientation 6, the left of the scene is at the top of the file
    kept = opened(reencode(sent((80, 40), exif=told.tobytes())).jpeg)
    assert kept.size == (40, 80)
    assert is_red(kept.getpixel((20, 5)))
    assert not is_red(kept.getpixel((20, 75)))


def test_what_is_clear_becomes_white_and_other_colours_become_plain_ones() -> None:
    clear = io.BytesIO()
    Image.new("RGBA", (10, 10), (0, 0, 0, 0)).save(clear, "PNG")
    assert opened(reencode(clear.getvalue()).jpeg).getpixel((5, 5)) == (255, 255, 255)
    for mode in ("L", "CMYK"):
        assert opened(reencode(sent(mode=mode)).jpeg).mode == "RGB"


@pytest.mark.parametrize(
    "what",
    [
        b"",
        b"not a picture at all",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"<!doctype html><script>alert(1)</script>",
        b"%PDF-1.7\n",
        sent(kind="GIF"),
        sent(kind="BMP"),
        sent(kind="TIFF"),
        b"\xff\xd8\xff\xe0" + b"only the beginning of a picture",
    ],
    ids=["nothing", "text", "svg", "html", "pdf", "gif", "bmp", "tiff", "a head"],
)
def test_what_is_no_picture_of_a_phone_is_refused(what: bytes) -> None:
    with pytest.raises(NoPictureError, match=r"\.$"):
        reencode(what)


def test_a_picture_broken_off_on_the_way_is_refused() -> None:
    whole = sent((800, 600), "PNG")
    with pytest.raises(NoPictureError, match="Take it again"):
        reencode(whole[: len(whole) // 2])


def test_a_small_file_that_unfolds_into_a_huge_picture_is_refused_before_it_does() -> None:
    def chunk(name: bytes, content: bytes) -> bytes:  # PNG (ISO/IEC 15948) section 5.3
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))

    head = struct.pack(">IIBBBBB", 30_000, 30_000, 8, 2, 0, 0, 0)
    bomb = (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")
    )
    with pytest.raises(NoPictureError):
        reencode(bomb)


def test_a_page_hidden_behind_a_picture_is_not_kept() -> None:
    kept = reencode(sent() + b"<script>alert(1)</script>")
    assert b"<script>" not in kept.jpeg


@settings(deadline=None)
@given(st.binary(max_size=300), st.integers(0, 400))
def test_whatever_is_sent_is_a_picture_or_refused(noise: bytes, at: int) -> None:
    for what in (noise, sent((40, 40))[:at] + noise):
        with suppress(NoPictureError):
            assert max(looked_at(reencode(what).jpeg)) <= LONGEST_SIDE


def test_only_what_was_kept_once_passes_for_a_kept_picture() -> None:
    assert looked_at(reencode(sent()).jpeg) == (80, 40)
    told = Image.Exif()
    told[0x010F] = "A maker of phones"
    for what in (sent(kind="PNG"), sent((2000, 10)), sent(exif=told.tobytes()), b"nothing"):
        with pytest.raises(NoPictureError):
            looked_at(what)
