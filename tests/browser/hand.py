"""What a hand does on a phone: tap what it reads, type where a label stands, and nothing else."""

import re

from playwright.sync_api import Page, expect


def tap(page: Page, name: str) -> None:
    """Tap the link or button that says just this."""
    exact = re.compile(f"^{re.escape(name)}$")
    page.get_by_role("button", name=exact).or_(page.get_by_role("link", name=exact)).first.tap()


def tap_within(page: Page, fold: str, name: str) -> None:
    """Tap the button of a part of the page that a tap has unfolded."""
    page.locator(f"{fold}[open]").get_by_role("button", name=re.compile(f"^{re.escape(name)}$")).tap()


def tap_row(page: Page, *words: str) -> None:
    """Tap the row in which all these words stand."""
    row = page.locator("a.row:visible")
    for one in words:
        row = row.filter(has_text=one)
    row.first.tap()


def choose(page: Page, question: str, answer: str) -> None:
    """One tap on an answer to a question."""
    page.get_by_role("group", name=question).get_by_text(answer, exact=True).tap()


def write(page: Page, label: str, text: str) -> None:
    """Tap the box under a label and type into it."""
    named = page.get_by_label(re.compile(f"^{re.escape(label)}( if known| if any)?$"))
    # Where a label holds its box, the unit and the hint are read with it.
    within = page.locator("label.field").filter(has_text=re.compile(f"^{re.escape(label)}"))
    box = named.or_(within.locator("input, textarea")).locator("visible=true").first
    box.tap()
    box.fill(text)


def number_of(page: Page, line: str) -> str:
    """The number the plain list gives a line."""
    row = page.locator("a.row").filter(has=page.get_by_text(line, exact=True))
    return row.locator(".num").first.inner_text()


def tap_number(page: Page, number: str) -> None:
    """Put a finger on a line's number on the drawing."""
    tag = page.locator("a.tap").filter(has=page.locator("text.number", has_text=re.compile(f"^{number}$")))
    tag = tag.locator("rect.tag")
    tag.evaluate("tag => tag.scrollIntoView({block: 'center'})")
    box = tag.bounding_box()
    assert box is not None
    page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)


def expect_wrong(page: Page, name: str, sentence: str) -> None:
    """The box is marked, and tied to a message under it that says this."""
    box = page.locator(f"[aria-invalid=true][name='{name}'], fieldset[aria-invalid=true]:has([name='{name}'])").first
    expect(box).to_have_accessible_description(re.compile(re.escape(sentence)))
    expect(page.locator(".wrong:visible").filter(has_text=sentence).first).to_be_visible()


def heading(page: Page, name: str) -> None:
    """Wait until the page with this heading is there."""
    expect(page.get_by_role("heading", level=1, name=name)).to_be_visible()
