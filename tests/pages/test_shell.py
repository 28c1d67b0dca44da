"""The frame of every page."""

from starlette.testclient import TestClient

from tests.conftest import Enter


def test_a_page_travels_without_the_indents_of_its_templates(client: TestClient, tern: str, enter: Enter) -> None:
    enter("ticket", "t1", car=tern, what="Short of boost", noticed_at="2025-02-01T10:00:00.000Z")
    lines = client.get("/tickets/t1").text.splitlines()
    assert len(lines) > 100
    assert [line for line in lines if line.startswith((" <", "  <"))] == []
