"""A car as a download, and taking such a file in through the page."""

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from app.main import create_app
from app.pages import archives
from app.phone.cookie import PLAIN_COOKIE
from app.records.cars import car
from app.records.garage import Garage
from app.records.transfer import export_car
from app.settings import Settings
from tests.conftest import Enter, paired
from tests.seen import seen


@pytest.fixture
def buyer(tmp_path: Path) -> Iterator[Garage]:
    opened = Garage.open(Settings(tmp_path / "buyer"))
    yield opened
    opened.close()


@pytest.fixture
def there(buyer: Garage) -> Iterator[TestClient]:
    here = ("127.0.0.1", 50_000)
    with TestClient(create_app(buyer), "http://localhost", client=here, follow_redirects=False) as opened:
        opened.cookies.set(PLAIN_COOKIE, paired(buyer, "another laptop"))
        yield opened


@pytest.fixture
def priced(enter: Enter, tern: str) -> str:
    """A car with a part that cost something; the car's id."""
    enter("part", "p1", car=tern, name="Pads", price=80, currency="EUR", source="a shop")
    return tern


def _sent(client: TestClient, content: bytes) -> tuple[int, str]:
    answer = client.post("/take-in", files={"file": ("tern archive.jsonl", content)})
    return answer.status_code, seen(answer.text)


def test_what_one_garage_hands_out_another_takes_in(
    client: TestClient, there: TestClient, garage: Garage, buyer: Garage, priced: str
) -> None:
    page = client.get("/cars/tern/archive").text
    assert "/cars/tern/archive.jsonl?prices=no" in page
    whole = client.get("/cars/tern/archive.jsonl")
    out = io.StringIO()
    export_car(garage, priced, out, without_prices=False)
    assert whole.text == out.getvalue()
    assert whole.headers["content-disposition"].startswith('attachment; filename="Tern-archive.jsonl"')
    less = client.get("/cars/tern/archive.jsonl?prices=no").content
    assert b"a shop" in whole.content
    assert b"a shop" not in less
    status, said = _sent(there, less)
    assert status == 200
    assert "0 refused" not in said
    assert "taken." in said
    with buyer.read() as db:
        found = car(db, "tern")
    assert found is not None
    assert found.name == "Tern"
    assert "0 lines taken" in _sent(there, less)[1]


def test_each_refused_line_is_named_with_its_number(client: TestClient, there: TestClient, tern: str) -> None:
    lines = client.get("/cars/tern/archive.jsonl").content.splitlines(keepends=True)
    lines.insert(3, b'{"kind":"boat"}\n')
    status, said = _sent(there, b"".join(lines))
    assert status == 200
    assert "1 line was refused" in said
    assert "4 An entry has" in said


@pytest.mark.parametrize("content", [b"", b"PNG", b"{}", b'{"witnessmark":"entries","form":2}'])
def test_what_is_no_archive_is_refused_in_words(there: TestClient, content: bytes) -> None:
    status, said = _sent(there, content)
    assert status == 422
    assert "taken." not in said


def test_no_file_at_all_is_asked_for(there: TestClient) -> None:
    assert there.get("/take-in").status_code == 200
    assert "Choose a file." in there.post("/take-in", data={"other": "x"}).text


def test_a_file_beyond_the_limit_is_not_even_read(there: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archives, "MOST_BYTES", 1000)
    answer = there.post("/take-in", files={"file": ("large.jsonl", b"x" * 2000)})
    assert answer.status_code == 413


def test_a_file_that_does_not_say_how_long_it_is_is_not_read(there: TestClient) -> None:
    answer = there.post("/take-in", content=iter([b"x"]), headers={"content-type": "multipart/form-data; boundary=x"})
    assert answer.status_code == 411


def test_a_line_longer_than_any_picture_ends_the_reading(client: TestClient, there: TestClient, tern: str) -> None:
    content = client.get("/cars/tern/archive.jsonl").content + b"x" * 33_000_000
    status, said = _sent(there, content)
    assert status == 422
    assert "far too long" in said


def test_a_car_that_is_not_there_is_said_plainly(client: TestClient) -> None:
    for address in ("/cars/none/archive", "/cars/none/archive.jsonl"):
        assert client.get(address).status_code == 404
