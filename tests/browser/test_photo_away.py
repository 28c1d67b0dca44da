"""A photo taken with the garage gone is seen at once, waits, and is the garage's own once it is sent."""

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page, Request, expect

from app.records.garage import Garage
from app.records.photos import photos_of
from tests.browser.bay import Bay, take_along
from tests.browser.conftest import REPORT_VIOLATIONS, SCREEN
from tests.browser.pocket import put_away, send, strip, waiting
from tests.conftest import Enter

JOB = "/jobs/coupler"


@pytest.fixture
def bay(garage: Garage, tern: str, enter: Enter) -> Iterator[Bay]:
    enter("job", "coupler", car=tern, title="Coupler off and on", opened_at="2026-04-20T10:00:00Z")
    opened = Bay(garage)
    yield opened
    opened.stop()


@pytest.fixture
def page(browser: Browser, bay: Bay) -> Iterator[Page]:
    """A phone that took the car along."""
    context = browser.new_context(viewport=SCREEN, is_mobile=True, has_touch=True, reduced_motion="reduce")
    context.add_init_script(REPORT_VIOLATIONS)
    bay.let_in(context)
    opened = context.new_page()
    troubles: list[str] = []
    opened.on("console", lambda said: troubles.append(said.text) if said.text.startswith("CSP ") else None)
    opened.on("pageerror", lambda error: troubles.append(str(error)))
    take_along(opened, bay)
    opened.goto(bay.address + JOB)
    yield opened
    put_away(context)
    assert troubles == []


def a_picture(folder: Path, size: tuple[int, int] = (2400, 1200)) -> Path:
    """What a camera makes: larger than is kept, the left half green."""
    image = Image.new("RGB", size, "green")
    image.paste("white", (size[0] // 2, 0, *size))
    path = folder / "camera.jpg"
    image.save(path, "JPEG")
    return path


def take_photo(page: Page, picture: Path) -> None:
    page.locator("#photos + .photos input[type=file]").set_input_files(picture)


def test_a_photo_taken_away_from_the_garage_is_seen_sent_and_kept_small(
    page: Page, bay: Bay, garage: Garage, tmp_path: Path
) -> None:
    bay.stop()
    take_photo(page, a_picture(tmp_path))
    shown = page.locator(".photos canvas")
    expect(shown).to_be_visible()
    assert strip(page).startswith("1 entry waits")
    page.reload()  # it outlives the page
    expect(shown).to_be_visible()
    bay.start()
    send(page)
    assert waiting(page) == []
    page.reload()
    image = page.locator(".photos img")
    expect(image).to_be_visible()
    page.wait_for_function("one => one.complete && one.naturalWidth === 1600", arg=image.element_handle())
    with garage.read() as db:
        (photo,) = photos_of(db, "job", "coupler")
    assert (photo.width, photo.height) == (1600, 800)
    bay.stop()
    page.reload()  # sent, it is still on the phone
    page.wait_for_function("() => document.querySelector('.photos img').naturalWidth === 1600")


def test_a_photo_is_taken_out_again_with_the_garage_gone(page: Page, bay: Bay, tmp_path: Path) -> None:
    bay.stop()
    take_photo(page, a_picture(tmp_path))
    expect(page.locator(".photos canvas")).to_be_visible()
    (entry,) = waiting(page)
    page.goto(f"{bay.address}/waiting")
    page.locator("#list details").first.locator("summary").tap()
    page.get_by_role("button", name="Withdraw").first.tap()
    expect(page.locator("#list")).to_be_hidden()
    page.goto(bay.address + JOB)
    expect(page.locator("#photos")).to_be_visible()
    expect(page.locator(".photos canvas")).to_have_count(0)
    left = page.evaluate(
        "id => new Promise(done => { const opening = indexedDB.open('witnessmark'); opening.onsuccess = () => {"
        " const asked = opening.result.transaction('pictures').objectStore('pictures').count();"
        " asked.onsuccess = () => done(asked.result); }; })",
        entry["record"],
    )
    assert left == 0


def test_what_is_no_picture_is_said_to_be_none_and_nothing_waits(page: Page, bay: Bay, tmp_path: Path) -> None:
    note = tmp_path / "note.jpg"
    note.write_text("not a picture")
    take_photo(page, note)
    expect(page.get_by_text("can't read that as a picture")).to_be_visible()
    assert waiting(page) == []


def test_a_picture_larger_than_the_garage_takes_is_made_small_first(
    page: Page, bay: Bay, garage: Garage, tmp_path: Path
) -> None:
    sizes: list[int] = []

    def weigh(asked: Request) -> None:
        if asked.method == "POST" and asked.url.endswith("/picture"):
            sizes.append(len(asked.post_data_buffer or b""))

    page.on("request", weigh)
    noise = Image.effect_noise((5000, 4000), 100)
    path = tmp_path / "noise.png"
    out = io.BytesIO()
    noise.save(out, "PNG")
    path.write_bytes(out.getvalue())
    assert path.stat().st_size > 16_000_000
    take_photo(page, path)
    expect(page.locator(".photos [data-record]")).to_have_count(1)
    send(page)
    assert waiting(page) == []
    assert len(sizes) == 1
    assert sizes[0] < 2_000_000
