"""What is printed, as the PDF that comes of it: its pages, its words, and nothing to tap."""

import re
import zlib

import pytest
from playwright.sync_api import Browser

from tests.browser.paper import _stream, pages
from tests.browser.pocket import put_away

#: Its sides in points, without what comes after the point.
A4 = (b"594", b"841")
#: Page, the most sheets it may take, what it says, and what only a screen says.
PRINTS = [
    (
        "/events/tern.hill-climb",
        1,
        ["Hill climb", "Not fit to run yet", "2 loose ends", "Tyres", "slow leak", "Not looked at yet", "Signed:"],
        ["Sign with this name", "Tick off", "Take the signature back", "Log it", "Its history", "Edit"],
    ),
    (
        "/jobs/tern.coupler-and-breather",
        2,
        ["Throttle coupler and breather", "What was touched", "Loose ends", "checked", "Only leaned on", "Printed"],
        ["Back on", "Looked at, sound", "Close the job", "Tap what you touch", "Take a photo", "Correct its title"],
    ),
    (
        "/jobs/tern.expansion-hose",
        2,
        ["Coolant expansion hose", "What was touched", "Parts on and off"],
        ["Photos", "Take a photo"],
    ),
    (
        "/events/dunlin.test-day",
        1,
        ["Airfield test day", "Nothing on it yet", "Signed:"],
        ["Begin with what is usual", "Add the usual"],
    ),
    (
        "/cars/tern/build-sheet",
        3,
        ["Build sheet", "Charge pipe", "Heavier cover and organic plate", "Stopgap"],
        ["Print it from"],
    ),
]


def test_a_mark_between_two_words_on_paper_keeps_the_space_behind_it(browser: Browser, demo_address: str) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.emulate_media(media="print")
    page.goto(demo_address + "/cars/tern/hoses")
    second = page.locator(".hose .grow > span + span").first
    between = second.evaluate("of => getComputedStyle(of, '::before').content")
    put_away(context)
    assert between == '" · "'


@pytest.mark.parametrize("printed", PRINTS, ids=[one[0] for one in PRINTS])
def test_a_print_has_its_words_on_few_sheets_and_no_buttons(
    browser: Browser, demo_address: str, printed: tuple[str, int, list[str], list[str]]
) -> None:
    address, most, said, unsaid = printed
    context = browser.new_context()
    page = context.new_page()
    page.goto(demo_address + address)
    page.wait_for_load_state("networkidle")
    pdf = page.pdf(prefer_css_page_size=True)
    found = pages(pdf)
    put_away(context)
    assert re.findall(rb"/MediaBox \[0 0 (\d+)[\d.]* (\d+)", pdf) == [A4] * len(found)
    assert 1 <= len(found) <= most
    text = "".join(found)
    assert [one for one in said if one.replace(" ", "") not in text] == []
    assert [one for one in unsaid if one.replace(" ", "") in text] == []


def test_a_packed_stream_that_ends_like_a_line_is_read_whole() -> None:
    said = next(text for n in range(10_000) if zlib.compress(text := b"(%d) Tj" % n).endswith(b"\r"))
    packed = zlib.compress(said)
    body = b"\n<</Filter /FlateDecode\n/Length %d>> stream\n%s\nendstream\n" % (len(packed), packed)
    assert _stream(body) == said
