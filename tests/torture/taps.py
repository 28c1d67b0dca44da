"""Real taps on real forms: what a page offers is filled in and sent; what the phone then says is written down."""

import asyncio
import random
from contextlib import suppress

from playwright.async_api import Error

from tests.torture.phone import RESTING_PLACE, Phone
from tests.torture.stories import CAR

_FORMS = "main form[data-kind]:not([data-plain])"
#: Longer than a form waits for the server's answer before it goes on without it.
_ANSWER_S = 2.0
_LOOKS = 10
_AT_ONCE = 4
#: What a person would write: a form that writes nonsense is refused, and what was refused is another test's matter.
_FILL = """form => {
  const unit = form.querySelector("[name=unit]")?.value;
  const usual = {inHg: "19.5", psi: "15", bar: "1.2", kPa: "60", mmHg: "450"}[unit] ?? "5";
  for (const box of form.querySelectorAll("input, textarea, select")) {
    const fixed = ["hidden", "radio", "checkbox", "datetime-local", "date"].includes(box.type);
    if (!("need" in box.dataset) || box.value || fixed) continue;
    if (box.tagName === "SELECT") box.selectedIndex = box.options.length - 1;
    else if (box.type === "text" && box.inputMode === "decimal") box.value = usual;
    else if (box.name === "outcome") box.value = "P0299";
    else if (box.type === "text" && box.inputMode === "numeric") box.value = "184500";
    else if (box.tagName === "TEXTAREA" || box.type === "text") box.value = "Oil mist";
  }
  for (const box of form.querySelectorAll("input[type=radio]")) {
    if (!form.querySelector(`[name="${CSS.escape(box.name)}"]:checked`)) box.checked = true;
  }
}"""
_STANDS = """async () => {
  const [{ waiting, unseen }, { heldAmong }] = [await bay("outbox.js"), await bay("sender.js")];
  const [left, { sent }] = [await waiting(), await unseen("")];
  const ids = (entries) => entries.map((one) => one.id);
  const refused = left.filter((one) => one.state === "refused");
  const held = [...heldAmong(left)].filter((one) => one.state !== "refused");
  return { refused: ids(refused), held: ids(held), all: ids([...sent, ...left].sort((a, b) => a.n - b.n)) };
}"""


async def tap(phone: Phone, dice: random.Random) -> int:
    """Send some forms of one page as a thumb does. How many entries the phone kept for them."""
    page = phone.tabs[0]
    path = dice.choice((f"/tickets/ticket-of-{phone.who}", f"/cars/{CAR}/readings/new/idle_vacuum"))
    for _ in range(_LOOKS):
        await phone.rest(page, path)
        if forms := await page.locator(_FORMS).all():
            break
        await asyncio.sleep(0.3)  # the phone's own page, which says that the garage is away
    else:
        return 0
    before = await phone.in_page(_STANDS)
    for form in dice.sample(forms, min(_AT_ONCE, len(forms))):
        with suppress(Error):  # a form may be hidden, or its page gone with the last tap
            if await form.evaluate("form => form.querySelector('[type=file]') || !form.checkVisibility()"):
                continue
            await form.evaluate(_FILL, timeout=1_000)
            await form.evaluate("form => form.requestSubmit(form.querySelector('button:not([type=button])'))")
            await asyncio.sleep(_ANSWER_S)
    await phone.rest(page, RESTING_PLACE)
    after = await phone.in_page(_STANDS)
    known = {*before["all"], *after["refused"]}
    kept = [one for one in after["all"] if one not in known]
    phone.ledger.acknowledge(phone.who, kept)
    # What was refused once the person had left the page is withdrawn, as on the page of what waits.
    refused = [one for one in after["refused"] if one not in phone.ledger.bad]
    await phone.in_page("async (ids) => (await bay('outbox.js')).withdraw(ids)", refused)
    phone.ledger.withdrawn.update(refused)
    phone.ledger.held.update(after["held"])
    return len(kept)
