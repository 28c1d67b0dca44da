"""One car's archive: out of a garage with several, into another."""

import io
import json
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from app import cli
from app.main import create_app
from app.phone.cookie import PLAIN_COOKIE
from app.photos.reencode import reencode
from app.records.garage import Garage
from app.records.logbook import now
from app.records.not_done import NotDoneError
from app.records.photos import put_picture
from app.records.transfer import Brought, bring_in, export, export_car, lines_of
from app.settings import Settings
from tests.conftest import Enter, held_clock, paired
from tests.photos.test_reencode import sent
from tests.records.test_transfer import tables
from tests.seen import seen


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Garage]:
    opened = Garage.open(Settings(tmp_path / "other"))
    yield opened
    opened.close()


@pytest.fixture
def two_cars(garage: Garage, enter: Enter, tern: str) -> Garage:
    """Something of every way a record can belong to a car, and a second car with a part that changed hands."""
    enter("car", "heron", name="Heron", layout="direct-signal")
    enter("part", "swapped", car="heron", name="Diverter valve", price=90, currency="EUR", source="a breaker's yard")
    enter("wrench", "w1", name="Click wrench", largest=200, unit="N.m")
    enter("wrench", "w2", name="Not used on Tern", largest=60, unit="N.m")
    enter("job", "j1", car=tern, title="Coupler", opened_at=now())
    enter("touch", "j1.tern.coupler", job="j1", line="tern.coupler", how="disconnected", at=now())
    enter("loose_end", "j1.tern.coupler.to", job="j1", joint="tern.coupler.to", back_on_at=now())
    enter("fastener", "wb", car=tern, name="Wheel bolts", of="wheel")
    enter("check", "k1", car=tern, fastener="wb", wrench="w1", done_at=now())
    enter("stage", "s1", car=tern, step=1, name="Brakes")
    enter("part", "p1", car=tern, stage="s1", name="Pads", price=80, currency="EUR", source="a shop", state="ordered")
    enter("part", "p1", state="here", price=85, currency="EUR")
    enter("part", "p1", source="the other shop")
    enter("need", "p1.tool", part="p1", what="A jack")
    enter("part", "swapped", car=tern, state="shelf")
    enter("ticket", "t1", car=tern, what="Hiss", noticed_at=now())
    enter("sign", "t1.hiss", ticket="t1", sign="hiss", outcome="under_boost", noted_at=now())
    enter("event", "e1", car=tern, name="Hill climb", kind="sprint", on_day="2031-05-02")
    enter("must", "m1", car=tern, what="Helmet")
    enter("looked_at", "e1.m1", event="e1", must="m1", good=True, looked_at=now())
    put_picture(garage.engine, "ph1", reencode(sent()), now())
    enter("photo", "ph1", car=tern, job="j1", taken_at=now())
    put_picture(garage.engine, "ph2", reencode(sent((60, 40))), now())
    enter("job", "j2", car="heron", title="Heron's own", opened_at=now())
    enter("photo", "ph2", car="heron", job="j2", taken_at=now())
    return garage


def written(garage: Garage, *, without_prices: bool = False) -> str:
    out = io.StringIO()
    export_car(garage, "tern", out, without_prices=without_prices)
    return out.getvalue()


def brought(garage: Garage, text: str) -> Brought:
    return bring_in(garage, lines_of(text.encode().splitlines(keepends=True)))


def texts(row: object) -> list[str]:
    """A row's values, each as text."""
    assert isinstance(row, tuple)
    return [str(value) for value in row]


def part(garage: Garage, name: str) -> tuple[object, ...]:
    with garage.read() as db:
        return tuple(db.exec_driver_sql("SELECT price, currency, source, state FROM part WHERE id = ?", (name,)).one())


def test_taken_into_an_empty_garage_the_car_is_what_it_was(two_cars: Garage, other: Garage) -> None:
    result = brought(other, written(two_cars))
    assert result.refused == []
    here, there = tables(two_cars), tables(other)
    theirs = {"heron", "swapped", "w2", "j2", "ph2"}
    for name, rows in here.items():
        if name in {"entry", "sqlite_sequence", "device", "pairing_link"} or (not there[name] and not rows):
            continue
        mine = [one for one in map(texts, rows) if not theirs & set(one)]
        assert [one for one in map(texts, there[name]) if "swapped" not in one] == mine, name
    assert part(other, "swapped") == part(two_cars, "swapped")


def test_nothing_of_another_car_goes_along(two_cars: Garage) -> None:
    text = written(two_cars)
    for word in ("heron", "Heron", "Not used on Tern"):
        assert word not in text
    assert text.count('"picture"') == 1


def test_the_car_s_page_reads_the_same_there(two_cars: Garage, other: Garage) -> None:
    brought(other, written(two_cars))
    pages = ("/cars/tern", "/cars/tern/touched", "/cars/tern/build-sheet", "/events/e1", "/cars/tern/parts.csv")
    shown = []
    with held_clock():
        for each in (two_cars, other):
            with TestClient(create_app(each), "http://localhost", client=("127.0.0.1", 50_000)) as client:
                client.cookies.set(PLAIN_COOKIE, paired(each, "bench laptop"))
                shown.append([seen(client.get(one).text) for one in pages])
    assert shown[0] == shown[1]


@pytest.mark.parametrize("without_prices", [False, True])
def test_taken_twice_it_changes_nothing(two_cars: Garage, other: Garage, *, without_prices: bool) -> None:
    text = written(two_cars, without_prices=without_prices)
    first = brought(other, text)
    before = tables(other)
    second = brought(other, text)
    assert tables(other) == before
    assert (second.taken, second.had, second.refused) == (0, first.taken, [])


@pytest.mark.parametrize("without_prices", [False, True])
def test_the_garage_it_came_from_knows_that_it_has_the_whole_of_it(two_cars: Garage, *, without_prices: bool) -> None:
    before = tables(two_cars)
    assert brought(two_cars, written(two_cars, without_prices=without_prices)).taken == 0
    assert tables(two_cars) == before


def test_without_prices_no_price_and_no_source_goes_along(two_cars: Garage, other: Garage) -> None:
    text = written(two_cars, without_prices=True)
    for word in ('"price"', '"currency"', "a shop", "the other shop", "a breaker's yard"):
        assert word not in text
    brought(other, text)
    assert part(other, "p1") == (None, None, None, "here")


def test_an_entry_that_lost_something_has_another_id_and_the_others_keep_theirs(two_cars: Garage) -> None:
    whole, less = (
        {one["id"]: one for one in map(json.loads, text.splitlines()[1:]) if "id" in one}
        for text in (written(two_cars), written(two_cars, without_prices=True))
    )
    assert all(less[id_]["fields"] == whole[id_]["fields"] for id_ in less.keys() & whole.keys())
    assert {less[id_]["kind"] for id_ in less.keys() - whole.keys()} == {"part"}
    assert all(str(uuid.UUID(one)) == one for one in less)


def test_who_first_had_it_without_prices_can_have_them_later(two_cars: Garage, other: Garage) -> None:
    brought(other, written(two_cars, without_prices=True))
    brought(other, written(two_cars))
    assert part(other, "p1") == part(two_cars, "p1") == (85.0, "EUR", "the other shop", "here")


def test_another_car_of_the_same_id_is_not_mixed_up_with_it(two_cars: Garage, other: Garage) -> None:
    text = written(two_cars)
    out = io.StringIO()
    fresh = Garage.open(Settings(other.settings.data / "third"))
    brought(fresh, text.replace(text.partition('"first":"')[2][:36], str(uuid.uuid4())))
    export(fresh, out)
    with pytest.raises(NotDoneError, match="already has the id tern"):
        brought(fresh, text)
    after = io.StringIO()
    export(fresh, after)
    fresh.close()
    assert after.getvalue() == out.getvalue()


def test_the_commands_write_it_and_take_it_in(
    two_cars: Garage, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data, file = str(two_cars.settings.data), tmp_path / "tern.jsonl"
    assert cli.main(["--data", data, "export", "--car", "tern", "--without-prices", str(file)]) == 0
    assert file.read_text(encoding="utf-8") == written(two_cars, without_prices=True)
    assert cli.main(["--data", str(tmp_path / "buyer"), "import", str(file)]) == 0
    assert "0 refused" in capsys.readouterr().out
    assert cli.main(["--data", data, "export", "--car", "nothing", str(tmp_path / "no")]) == cli.NOT_DONE
    assert not (tmp_path / "no").exists()
    assert cli.main(["--data", data, "export", "--without-prices", str(tmp_path / "no")]) == cli.NOT_DONE
