"""A phone that has pages open where nothing answers, and what those pages say."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from difflib import ndiff

from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.conftest import SCREEN
from tests.browser.pocket import lay, rest, run, send, waiting

#: What is seen in the heading and the page itself; the strip of what waits is no part of either. Which readings drift
#: is worked out at the garage, and the page says beside it what is not yet counted: that is no part of it either.
_TEXT = """() => {
  const apart = [...document.querySelectorAll("#drifts")];
  for (const one of apart) one.hidden = true;
  const text = ["header", "main"].map((one) => document.querySelector(one).innerText).join("\\n");
  for (const one of apart) one.hidden = false;
  return text;
}"""
_BOXES = """() => [...document.querySelectorAll("main form[data-record] input")]
  .filter(one => one.type === "radio" && one.checked && !one.closest("[hidden]")).map(one => one.value)"""


def said(page: Page) -> list[str]:
    """What a page says, line by line as a person reads it, and what is chosen in its records' forms."""
    text: str = page.evaluate(_TEXT)
    boxes: list[str] = page.evaluate(_BOXES)
    return [*(" ".join(line.split()) for line in text.splitlines() if line.strip()), *boxes]


@dataclass
class Away:
    """A phone: its pages are opened while the garage answers, by address; then it leaves."""

    browser: Browser
    garage: str
    context: BrowserContext
    troubles: list[str] = field(default_factory=list)
    pages: dict[str, Page] = field(default_factory=dict)
    #: A tab that goes nowhere: a form's own page goes on after its tap, maybe to one that can't be had.
    still: Page | None = None

    def open(self, *addresses: str) -> None:
        """Open each in a tab of its own."""
        self.still = self.still or rest(self.context, self.garage)
        for address in addresses:
            page = self.context.new_page()
            page.on("pageerror", lambda error: self.troubles.append(str(error)))
            page.goto(self.garage + address)
            run(page, "await bay('bay.js');")
            self.pages[address] = page

    def leave(self) -> None:
        """From now on nothing answers."""
        self.context.set_offline(True)

    def tap(self, address: str, button: str) -> Page:
        """Tap a button of a page, and wait until what it enters is kept."""
        page = self.pages[address]
        assert self.still is not None
        before = len(waiting(self.still))
        page.bring_to_front()
        page.get_by_role("button", name=button, exact=True).first.tap()
        expect(self.still.locator("#waiting b")).not_to_have_text(str(before) if before else "")
        return page

    def shows(self, *addresses: str) -> dict[str, list[str]]:
        """What these pages say once all that waits is laid over them."""
        found = {}
        for address in addresses:
            page = self.pages[address]
            page.bring_to_front()
            lay(page)
            found[address] = said(page)
        return found

    def come_back(self, addresses: Iterable[str]) -> dict[str, list[str]]:
        """Send what waits; what the garage's own pages say then to somebody who has entered nothing."""
        self.context.set_offline(False)
        page = self.pages[next(iter(addresses))]
        send(page)
        left = waiting(page)
        assert left == [], left
        other = self.browser.new_context(viewport=SCREEN, service_workers="block", java_script_enabled=False)
        looking = other.new_page()
        found = {}
        for address in addresses:
            looking.goto(self.garage + address)
            found[address] = said(looking)
        other.close()
        return found

    def agrees(self, shown: dict[str, list[str]]) -> None:
        """Come back, and find on the garage's pages to the letter what the phone has shown."""
        for address, lines in self.come_back(shown).items():
            # What a phone can't work out itself it says is not yet counted; the garage has counted it.
            told = [one for one in shown[address] if not one.startswith("Not yet counted in this: ")]
            differ = [one for one in ndiff(told, lines) if one[0] in "+-"]
            assert not differ, "\n".join([f"{address}: the phone showed (-), the garage says (+)", *differ])
