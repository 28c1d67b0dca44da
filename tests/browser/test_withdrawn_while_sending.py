"""What is withdrawn while the phone is still sending holds up nobody and nothing."""

from playwright.sync_api import Browser

from app.records.garage import Garage
from tests.browser.conftest import SCREEN, let_in
from tests.browser.pocket import keep, put_away, rest, run, told, waiting

#: More than one request carries, so that sending goes on after the first answer.
_MANY = 120


def test_what_needs_one_that_was_withdrawn_meanwhile_is_refused_for_itself_and_sending_ends(
    browser: Browser, garage: Garage, address: str, tern: str
) -> None:
    context = browser.new_context(viewport=SCREEN, service_workers="block")
    let_in(context, garage, address)
    page = rest(context, address)
    wrong = told("job", "job1", car=tern, title="Clutch", opened_at="@now", odometer="far")
    needs = told("touch", f"job1.{tern}.coupler", job="job1", line=f"{tern}.coupler", how="disconnected", at="@now")
    others = [told("finding", f"f{n}", car=tern, what="Oil mist", seen_at="@now") for n in range(_MANY)]
    keep(page, wrong, needs, *others)
    ended = run(
        page,
        """const [{ send }, { waiting, withdraw }] = [await bay("sender.js"), await bay("outbox.js")];
        const sending = send().then(() => true);
        while (!(await waiting()).some((one) => one.id === given && one.state === "refused"));
        await withdraw([given]);
        return Promise.race([sending, new Promise((done) => setTimeout(done, 10_000, false))]);""",
        wrong["id"],
    )
    assert ended is True
    (left,) = waiting(page)
    assert (left["id"], left["state"]) == (needs["id"], "refused")
    put_away(context)
