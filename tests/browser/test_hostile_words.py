"""What somebody typed stays text, whatever it looks like, on the server's pages and in the phone's own scripts."""

from playwright.sync_api import expect

from tests.browser.conftest import Phone
from tests.browser.pocket import run
from tests.conftest import Enter

AT = "2026-04-18T10:40:00.000Z"
HOSTILE = "</script><img src=x onerror=\"window.caught='yes'\"><script>window.caught='yes'</script>"


def test_markup_in_a_name_is_shown_as_it_was_typed(phone: Phone, served: str, tern: str, enter: Enter) -> None:
    enter("job", "job1", car=tern, title=HOSTILE, opened_at=AT)
    for path in ("/jobs/job1", f"/cars/{tern}", f"/cars/{tern}/jobs"):
        phone.page.goto(served + path)
        expect(phone.page.get_by_text(HOSTILE).first).to_be_visible()
        assert phone.page.evaluate("() => window.caught") is None


def test_markup_typed_on_the_phone_is_laid_over_the_page_as_text(phone: Phone, served: str, tern: str) -> None:
    page = phone.page
    page.goto(f"{served}/cars/{tern}/jobs/new")
    page.route("**/entries", lambda route: route.fulfill(status=503))  # it waits, and is laid over by the phone
    page.get_by_label("What you are going to do").fill(HOSTILE)
    page.get_by_role("button", name="Open the job").tap()
    page.wait_for_url(lambda url: "/new" not in url)
    page.goto(f"{served}/cars/{tern}/jobs")
    expect(page.get_by_text(HOSTILE).first).to_be_visible()
    assert page.evaluate("() => window.caught") is None
    page.goto(f"{served}/waiting")
    page.locator("#list summary").first.tap()
    expect(page.get_by_label("title")).to_have_value(HOSTILE)
    assert page.evaluate("() => window.caught") is None
    phone.troubles.clear()  # the console tells of the answers 503 that this test made


def test_no_name_of_a_field_reaches_what_all_objects_share(phone: Phone, served: str, tern: str) -> None:
    page = phone.page
    page.goto(f"{served}/cars/{tern}")
    found = run(
        page,
        """document.getElementById("known")?.remove();
        const block = Object.assign(document.createElement("script"), { type: "application/json", id: "known" });
        block.textContent = '{"job/j": {"__proto__": {"caught": "yes"}}, "__proto__": {"caught": "yes"}}';
        document.body.append(block);
        const { know, conclude } = await bay("known.js");
        const { keep } = await bay("outbox.js");
        const at = new Date().toISOString();
        await keep([{ id: crypto.randomUUID(), kind: "job", record: "__proto__", version: 1,
          fields: JSON.parse('{"__proto__": {"caught": "yes"}, "constructor": "x"}'),
          happened_at: at, entered_at: at, says: "", page: "" }]);
        await conclude("__proto__", { caught: "yes" });
        const known = await know();
        known.fields("job/j");
        known.fields("job/__proto__");
        return [{}.caught === undefined, Object.prototype.caught === undefined];""",
    )
    assert found == [True, True]
