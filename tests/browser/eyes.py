"""What stands in anyone's way on a page: gloved, by day and by night, on a narrow screen."""

from playwright.sync_api import Page

from tests.browser.conftest import Axe

#: Links inside a sentence may be as high as the sentence; the drawing's lines have the list beside them.
_TOO_SMALL = """() => [...document.querySelectorAll("a, button, input, select, textarea, summary")].flatMap(one => {
  const of = one.type === "radio" || one.type === "checkbox" ? one.closest("label")
    : one.matches(".over strong a") ? one.closest(".over") : one;
  const box = of.getBoundingClientRect();
  const seen = box.width > 0 && one.checkVisibility({visibilityProperty: true});
  const fits = !seen || one.closest("svg, p, .why") || box.height >= 48;
  return fits ? [] : [`only ${box.height} px high: ${one.outerHTML.slice(0, 120)}`];
})"""


def trouble_on(page: Page, axe: Axe) -> list[str]:
    """What stands in anyone's way on this page."""
    page.locator("details").evaluate_all("all => all.forEach(one => one.removeAttribute('name') || (one.open = true))")
    width = page.evaluate("document.documentElement.scrollWidth")
    sideways = [] if width <= 412 else [f"scrolls sideways: {width}"]
    return [*axe(page), *sideways, *page.evaluate(_TOO_SMALL)]
