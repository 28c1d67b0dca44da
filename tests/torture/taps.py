"""Real taps on real forms: what a page offers is filled in and sent; what the phone then says is written down."""

import asyncio
import random
from contextlib import suppress

from playwright.async_api import Error, Locator, Page

from tests.torture.phone import RESTING_PLACE, Phone
from tests.torture.stories import CAR

_FORMS = "main form[data-kind]:not([data-plain])"
#: Longer than a form waits for the server's answer before it goes on without it.
_ANSWER_S = 2.0
_FILL = """form => {
  for (const box of form.querySelectorAll("input, textarea, select")) {
    const fixed = ["hidden", "radio", "checkbox", "datetime-local", "date"].includes(box.type);
    if (!box.name || box.value || fixed) continue;
    if (box.tagName === "SELECT") box.selectedIndex = box.options.length - 1;
    else if (box.type === "text" && box.inputMode === "decimal") box.value = "19.5";
    else if (box.type === "text" && box.inputMode === "numeric") box.value = "184500";
    else if (box.tagName === "TEXTAREA" || box.type === "text") box.value = "Oil mist";
  }
  for (const box of form.querySelectorAll("input[type=radio]")) {
    if (!form.querySelector(`[name="${CSS.escape(box.name)}"]:checked`)) box.checked = true;
  }
}"""
_STANDS = """async () => {
  const { waiting, unseen } = await bay("outbox.js");
  const { sent } = await unseen("");
  return {refused: (await waiting()).filter((one) => one.state === "refused").map((one) => one.id),
          all: [...sent, ...(await waiting())].map((one) => one.id)};
}"""


async def tap(phone: Phone, dice: random.Random) -> int:
    """Send one form of one page as a thumb does. How many entries the phone kept for it."""
    page = phone.tabs[0]
    paths = (f"/jobs/taps-of-{phone.who}", f"/tickets/ticket-of-{phone.who}", f"/cars/{CAR}/readings/new")
    kept: list[str] = []
    with suppress(Error, TimeoutError):
        await page.goto(phone.address + dice.choice(paths), timeout=3_000)
        form = await _one_of(page, dice)
        if form is not None:
            before = await phone.in_page(_STANDS)
            await form.evaluate(_FILL)
            await form.evaluate("form => form.requestSubmit(form.querySelector('button:not([type=button])'))")
            await asyncio.sleep(_ANSWER_S)
            kept = await _kept(phone, page, before["all"])
    phone.ledger.acknowledge(phone.who, kept)
    await phone.rest(page, RESTING_PLACE)
    # What was refused once the person had left the page is withdrawn on the page of what waits.
    refused = [one for one in (await phone.in_page(_STANDS))["refused"] if one not in phone.ledger.bad]
    await phone.in_page("async (ids) => (await bay('outbox.js')).withdraw(ids)", refused)
    phone.ledger.withdrawn.update(refused)
    return len(kept)


async def _one_of(page: Page, dice: random.Random) -> Locator | None:
    forms = await page.locator(_FORMS).all()
    return dice.choice(forms) if forms else None


async def _kept(phone: Phone, page: Page, before: list[str]) -> list[str]:
    """The new entries in the order of keeping, unless the form was refused before the person's eyes and withdrawn."""
    if "/jobs/" not in page.url and "/tickets/" not in page.url and "/cars/" not in page.url:
        return []
    after = await phone.in_page(_STANDS)
    known = set(before) | set(after["refused"])
    return [one for one in after["all"] if one not in known]
