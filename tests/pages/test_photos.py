"""Photos: taken in as a phone sends them and as a form does, shown, taken out, exported and brought back."""

import io
from pathlib import Path

import pytest
from PIL import Image
from starlette.testclient import TestClient

from app.photos.reencode import MOST_BYTES
from app.records.garage import Garage
from app.records.transfer import bring_in, export, lines_of
from app.settings import Settings
from tests.conftest import Enter

AT = "2026-04-18T10:40:00.000Z"
AS_A_PHONE = {"Entry-Id": "first", "Content-Type": "image/jpeg"}


def picture(colour: str = "red") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), colour).save(out, "JPEG")
    return out.getvalue()


@pytest.fixture
def job(enter: Enter, tern: str) -> str:
    enter("job", "coupler", car=tern, title="Coupler off and on", opened_at=AT)
    return "coupler"


def test_a_picture_is_kept_before_its_entry_and_shown_with_it(client: TestClient, enter: Enter, job: str) -> None:
    answer = client.post("/photos/p1/picture", content=picture(), headers=AS_A_PHONE)
    assert (answer.status_code, answer.json()) == (200, {"photo": "p1", "outcome": "taken"})
    assert "p1" not in client.get(f"/jobs/{job}").text
    enter("photo", "p1", car="tern", job=job, taken_at=AT)
    assert '<img src="/photos/p1/picture"' in client.get(f"/jobs/{job}").text
    shown = client.get("/photos/p1/picture")
    assert shown.headers["content-type"] == "image/jpeg"
    assert shown.headers["x-content-type-options"] == "nosniff"
    assert shown.headers["cache-control"].startswith("private")
    assert Image.open(io.BytesIO(shown.content)).size == (60, 40)


def test_a_picture_sent_twice_is_kept_once_and_another_can_not_take_its_place(client: TestClient) -> None:
    first = [client.post("/photos/p1/picture", content=picture(), headers=AS_A_PHONE).status_code for _ in range(2)]
    kept = client.get("/photos/p1/picture").content
    other = client.post("/photos/p1/picture", content=picture("blue"), headers=AS_A_PHONE)
    assert (first, other.status_code, other.json()["outcome"]) == ([200, 200], 422, "refused")
    assert client.get("/photos/p1/picture").content == kept


def test_what_is_no_picture_is_refused_with_a_sentence(client: TestClient) -> None:
    answer = client.post("/photos/p1/picture", content=b"<script>alert(1)</script>", headers=AS_A_PHONE)
    assert (answer.status_code, answer.json()["reason"]) == (422, "This is no picture: send a JPEG, PNG or WebP.")
    assert client.get("/photos/p1/picture").status_code == 404


def test_a_picture_that_is_too_large_or_names_no_entry_is_refused(client: TestClient) -> None:
    large = client.post("/photos/p1/picture", content=b"\xff" * (MOST_BYTES + 1), headers=AS_A_PHONE)
    assert large.status_code == 413
    nameless = client.post("/photos/p1/picture", content=picture(), headers={"Content-Type": "image/jpeg"})
    assert nameless.status_code == 400


def test_an_odd_id_is_refused(client: TestClient) -> None:
    assert client.post("/photos/..p/picture", content=picture(), headers=AS_A_PHONE).status_code == 422


@pytest.mark.parametrize(
    ("about", "of"),
    [("job", "coupler"), ("line", "tern.coupler"), ("component", "tern.manifold"), ("ticket", "no-boost")],
)
def test_without_scripts_a_form_takes_the_photo(
    client: TestClient, enter: Enter, job: str, about: str, of: str
) -> None:
    back = f"/{about}s/{of}#photos"
    enter("ticket", "no-boost", car="tern", what="No boost in third", noticed_at=AT)
    told = {"car": "tern", about: of, "record": "p1", "entry": ""}
    answer = client.post("/photos/new", data=told, files={"picture": ("x.jpg", picture(), "image/jpeg")})
    assert (answer.status_code, answer.headers["location"]) == (303, back)
    assert '<img src="/photos/p1/picture"' in client.get(back).text


def test_a_form_without_a_picture_comes_back_and_says_so(client: TestClient, job: str) -> None:
    told = {"car": "tern", "job": job, "record": "p1", "entry": ""}
    for files in ({}, {"picture": ("x.jpg", b"nothing", "image/jpeg")}):
        answer = client.post("/photos/new", data=told, files=files)
        assert answer.status_code == 422
        assert 'class="wrong"' in answer.text
        assert f'name="job" value="{job}"' in answer.text


def test_a_photo_has_a_page_a_note_and_a_way_out_and_back(client: TestClient, enter: Enter, job: str) -> None:
    client.post("/photos/p1/picture", content=picture(), headers=AS_A_PHONE)
    enter("photo", "p1", car="tern", job=job, taken_at=AT)
    client.post("/photos/p1", data={"note": "The mark had moved", "entry": ""})
    assert "The mark had moved" in client.get("/photos/p1").text
    assert 'alt="The mark had moved"' in client.get(f"/jobs/{job}").text
    out = client.post("/photos/p1/void", data={"entry": ""})
    assert out.headers["location"] == f"/jobs/{job}#photos"
    assert "/photos/p1/picture" not in client.get(f"/jobs/{job}").text
    assert "Taken out" in client.get("/photos/p1").text
    client.post("/records/photo/p1/take-back", data={"entry": ""})
    assert "/photos/p1/picture" in client.get(f"/jobs/{job}").text


def test_a_photo_is_of_one_thing(garage: Garage, client: TestClient, job: str) -> None:
    one = {"id": "6a1f24cc-4d0f-4a53-8f6e-0f5a3f1a1f11", "kind": "photo", "record": "p1", "version": 1}
    one |= {"happened_at": AT, "entered_at": AT}
    for fields in ({}, {"job": job, "line": "tern.coupler"}):
        sent = one | {"fields": {"car": "tern", "taken_at": AT, **fields}}
        answer = client.post("/entries", json={"entries": [sent]}, headers={"Entry-Id": "x"})
        assert answer.json()["outcomes"][0]["outcome"] == "refused"


def test_there_is_no_photo_that_nobody_took(client: TestClient) -> None:
    assert client.get("/photos/none").status_code == 404
    assert client.post("/photos/none/void", data={}).status_code == 404


def test_an_export_carries_the_pictures_and_an_import_gives_the_same_export(
    client: TestClient, enter: Enter, garage: Garage, job: str, tmp_path: Path
) -> None:
    client.post("/photos/p1/picture", content=picture(), headers=AS_A_PHONE)
    enter("photo", "p1", car="tern", job=job, taken_at=AT)
    first, second = io.StringIO(), io.StringIO()
    export(garage, first)
    other = Garage.open(Settings(tmp_path / "other"))
    lines = first.getvalue().encode().splitlines(keepends=True)
    brought = bring_in(other, lines_of(lines))
    assert brought.refused == []
    export(other, second)
    again = bring_in(other, lines_of(lines))
    other.close()
    assert second.getvalue() == first.getvalue()
    assert '"picture":"p1"' in first.getvalue()
    assert (again.taken, again.refused) == (0, [])


def test_an_import_keeps_no_picture_that_is_none(garage: Garage) -> None:
    head = b'{"witnessmark":"entries","form":1}\n'
    for jpeg in (b"bm90IGEgcGljdHVyZQ==", b"%%%"):
        line = b'{"picture":"p1","jpeg":"' + jpeg + b'","sent_sha256":"","received_at":"2026-04-18T10:40:00.000Z"}\n'
        brought = bring_in(garage, lines_of([head, line]))
        assert brought.refused == [(2, "jpeg: This is no picture as an export holds it.")]
