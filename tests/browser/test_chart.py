"""The chart in the hand and on the paper."""

import re

import pytest
from playwright.sync_api import Browser, expect

from app.airpath.words import Layout
from tests.browser.conftest import Phone, in_hand
from tests.browser.hand import heading, tap_row

#: ISO 216 A4, pt.
A4 = (595.0, 842.0)
#: The words of a drawing that leave its frame or lie on those of another: by their real boxes, half a point let go.
_ASTRAY = """() => {
  const over = (a, b) => a.x < b.x + b.width - .5 && b.x < a.x + a.width - .5
    && a.y < b.y + b.height - 2.5 && b.y < a.y + a.height - 2.5;
  const texts = [...document.querySelectorAll(".chart text:not(.number)")].map(t => [t.textContent, t.getBBox(), t]);
  const out = texts.filter(([, box, t]) => {
    const frame = t.parentNode.querySelector?.(":scope > rect.frame")?.getBBox()
      ?? document.querySelector(".chart").viewBox.baseVal;
    return box.x < frame.x || box.x + box.width > frame.x + frame.width + .5;
  }).map(([said]) => `out: ${said}`);
  const crossed = texts.flatMap(([said, box], n) =>
    texts.slice(n + 1).filter(([, other]) => over(box, other)).map(([more]) => `over: ${said} / ${more}`));
  const frames = [...document.querySelectorAll(".chart g > rect.frame")].map(r => r.getBBox());
  const hidden = texts.flatMap(([said, box, t]) => frames.filter(f => over(box, f)
    && t.parentNode.querySelector?.(":scope > rect.frame")?.getBBox().y !== f.y).map(() => `hidden: ${said}`));
  return [...out, ...crossed, ...hidden];
}"""


def pages_of(pdf: bytes) -> tuple[int, tuple[float, float]]:
    """How many pages a PDF has, and how large the first is."""
    box = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert box
    return len(re.findall(rb"/Type /Page\b", pdf)), (float(box[1]), float(box[2]))


@pytest.mark.parametrize("path", ["/cars/tern", "/cars/dunlin", *(f"/layouts/{layout}" for layout in Layout)])
def test_it_prints_on_one_sheet_of_a4_with_every_word_in_its_frame(
    browser: Browser, served_demo: str, path: str
) -> None:
    with in_hand(browser, "dark") as phone:
        page = phone.page
        page.goto(f"{served_demo}{path}/chart")
        page.evaluate("document.fonts.ready")
        assert page.evaluate(_ASTRAY) == []
        page.emulate_media(media="print", color_scheme="light")
        expect(page.locator(".boxes")).to_be_hidden()
        expect(page.locator(".chart")).to_be_visible()
        points = "t => parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a * 72 / 96"
        assert page.locator(".chart text").first.evaluate(points) >= 8
        assert (
            page.locator(".cautions li").first.evaluate("li => parseFloat(getComputedStyle(li).fontSize)") >= 8 / 0.75
        )
        count, size = pages_of(page.pdf(prefer_css_page_size=True))
        assert count == 1
        assert size == pytest.approx(A4, abs=1)


def test_a_long_name_and_much_counted_still_print_on_one_sheet(browser: Browser, served_demo: str) -> None:
    with in_hand(browser, "light") as phone:
        page = phone.page
        page.goto(f"{served_demo}/layouts/stored-vacuum/chart")
        page.locator(".top p").first.evaluate("p => p.textContent = 'The blue estate that never wanted to '.repeat(2)")
        page.locator(".top p").last.evaluate(
            "p => p.textContent = '25 touches since 8 Dec 2025, 16 closed, '.repeat(3)"
        )
        assert pages_of(page.pdf(prefer_css_page_size=True))[0] == 1


def test_on_a_phone_the_list_leads_from_box_to_box(phone: Phone, served_demo: str) -> None:
    page = phone.page
    page.goto(f"{served_demo}/cars/tern")
    tap_row(page, "Fault-finding chart")
    heading(page, "Fault-finding chart")
    assert page.evaluate("document.documentElement.scrollWidth") <= 412
    page.get_by_role("link", name="Read it as a list").tap()
    first = page.locator("#q1")
    expect(first).to_be_in_viewport()
    onward = first.locator("a.row").last
    to = onward.get_attribute("href")
    assert to
    onward.tap()
    expect(page.locator(to)).to_be_in_viewport()
    assert onward.evaluate("a => a.getBoundingClientRect().height") >= 64


def test_the_drawing_slides_in_its_own_box_by_keyboard_too(phone: Phone, served_demo: str) -> None:
    page = phone.page
    page.goto(f"{served_demo}/cars/tern/chart")
    box = page.get_by_role("region", name="The chart, drawn")
    box.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    slid = """async b => {
      for (let n = 0; n < 300 && !b.scrollLeft; n++) await new Promise(requestAnimationFrame);
      return b.scrollLeft;
    }"""
    assert box.evaluate(slid) > 0
    assert page.evaluate("document.documentElement.scrollLeft") == 0
