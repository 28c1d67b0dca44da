"""Devices and links as the database keeps them: hashes only, good once, gone at once."""

import hashlib
import threading
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import datetime, timedelta
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.records import devices, transfer
from app.records.devices import LINK_LASTS, PAIRING_LASTS, Credential, Standing
from app.records.garage import Garage

from ..conftest import Count, Enter
from .conftest import NOW, Pair


def stands(garage: Garage, token: str, at: datetime) -> Standing:
    with garage.read() as db:
        return devices.link_stands(db, token, at)


def paired(garage: Garage, credential: Credential, at: datetime = NOW) -> bool:
    with garage.read() as db:
        return devices.is_paired(db, credential, at)


def test_a_link_is_good_for_five_minutes_and_not_a_moment_longer(garage: Garage) -> None:
    token = devices.make_link(garage.engine, NOW)
    assert stands(garage, token, NOW) == "good"
    assert stands(garage, token, NOW + timedelta(minutes=5, milliseconds=-1)) == "good"
    assert stands(garage, token, NOW + timedelta(minutes=5)) == "expired"
    assert devices.swap(garage.engine, token, "phone", NOW + timedelta(minutes=5)) == "expired"


def test_a_link_pairs_one_device_once(garage: Garage) -> None:
    token = devices.make_link(garage.engine, NOW)
    first = devices.swap(garage.engine, token, "phone", NOW)
    assert isinstance(first, Credential)
    assert paired(garage, first)
    assert devices.swap(garage.engine, token, "another", NOW) == "used"
    assert stands(garage, token, NOW) == "used"


def test_of_many_at_the_same_moment_exactly_one_gets_the_link(garage: Garage) -> None:
    token = devices.make_link(garage.engine, NOW)
    outcomes: list[Credential | Standing] = []
    start = threading.Barrier(8)

    def use() -> None:
        start.wait()
        outcomes.append(devices.swap(garage.engine, token, "phone", NOW))

    threads = [threading.Thread(target=use) for _ in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert sum(isinstance(one, Credential) for one in outcomes) == 1
    assert [one for one in outcomes if not isinstance(one, Credential)] == ["used"] * 7
    with garage.read() as db:
        assert len(devices.devices(db)) == 1


def test_looking_at_a_link_does_not_use_it_up(garage: Garage) -> None:
    token = devices.make_link(garage.engine, NOW)
    for _ in range(20):
        assert stands(garage, token, NOW) == "good"
    assert isinstance(devices.swap(garage.engine, token, "phone", NOW), Credential)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=50, deadline=None)
@given(text=st.text(max_size=60))
def test_no_other_text_is_a_link(garage: Garage, text: str) -> None:
    token = devices.make_link(garage.engine, NOW)
    assert text == token or devices.swap(garage.engine, text, "phone", NOW) == "unknown"


def test_tokens_and_secrets_carry_256_bits_and_never_come_twice(garage: Garage, pair: Pair) -> None:
    tokens = {devices.make_link(garage.engine, NOW) for _ in range(50)}
    assert len(tokens) == 50
    assert {len(one) for one in tokens} == {43}  # 32 bytes in base64url (RFC 4648 section 5)
    assert len(pair("phone").secret) == 43


def test_the_database_holds_no_secret_only_its_hash(garage: Garage, pair: Pair) -> None:
    token = devices.make_link(garage.engine, NOW)
    credential = pair("phone", NOW)
    with garage.engine.connect() as db:
        db.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    kept = garage.settings.database.read_bytes()
    for secret in (token, credential.secret):
        assert secret.encode() not in kept
        assert hashlib.sha256(secret.encode()).hexdigest().encode() in kept


def test_a_secret_does_not_show_when_it_is_printed() -> None:
    assert "hush" not in f"{Credential('phone', 'hush')!r} {Credential('phone', 'hush')}"


def test_a_removed_device_is_out_and_what_it_entered_stays(garage: Garage, pair: Pair, enter: Enter) -> None:
    credential = pair("phone", NOW)
    enter("car", "tern", name="Tern", layout="direct-signal", device_=credential.id)
    assert devices.remove(garage.engine, credential.id, NOW)
    assert not paired(garage, credential)
    with garage.read() as db:
        (row,) = devices.devices(db)
    assert (row.name, row.entries, row.removed_at) == ("phone", 1, "2026-04-18T09:30:00.000Z")
    assert devices.put_back(garage.engine, credential.id)
    assert paired(garage, credential)


def test_another_devices_secret_opens_nothing(garage: Garage, pair: Pair) -> None:
    one, two = pair("one", NOW), pair("two", NOW)
    assert not paired(garage, Credential(one.id, two.secret))
    assert not paired(garage, Credential("nobody", one.secret))


def test_a_pairing_ends_after_400_days(garage: Garage, pair: Pair) -> None:
    credential = pair("phone", NOW)
    assert paired(garage, credential, NOW + PAIRING_LASTS - timedelta(seconds=1))
    assert not paired(garage, credential, NOW + PAIRING_LASTS)


def test_pairing_again_keeps_the_device_and_ends_its_old_secret(garage: Garage, pair: Pair) -> None:
    old = pair("phone", NOW)
    later = NOW + PAIRING_LASTS + timedelta(days=30)
    new = pair("new name", later, held=old)
    assert new.id == old.id
    assert paired(garage, new, later)
    assert not paired(garage, old, later)


def test_a_removed_device_that_pairs_again_is_another_device(garage: Garage, pair: Pair) -> None:
    old = pair("phone", NOW)
    devices.remove(garage.engine, old.id, NOW)
    assert pair("phone", NOW, held=old).id != old.id
    assert not paired(garage, old)


def test_nobody_takes_over_a_device_by_naming_it(garage: Garage, pair: Pair) -> None:
    theirs = pair("phone", NOW)
    assert pair("thief", NOW, held=Credential(theirs.id, "x" * 43)).id != theirs.id
    assert paired(garage, theirs)


def test_a_visit_is_written_down_at_most_once_a_minute(garage: Garage, pair: Pair) -> None:
    credential = pair("phone", NOW)
    assert not devices.note_seen(garage.engine, credential.id, NOW + timedelta(seconds=59))
    assert devices.note_seen(garage.engine, credential.id, NOW + timedelta(seconds=60))
    assert not devices.note_seen(garage.engine, credential.id, NOW + timedelta(seconds=90))
    assert not devices.note_seen(garage.engine, "nobody", NOW)
    with garage.read() as db:
        assert devices.devices(db)[0].last_seen_at == "2026-04-18T09:31:00.000Z"


def test_knowing_a_device_is_one_indexed_read(
    garage: Garage, pair: Pair, count_queries: Callable[[Garage], AbstractContextManager[Count]]
) -> None:
    credential = pair("phone", NOW)
    with count_queries(garage) as count, garage.read() as db:
        assert devices.is_paired(db, credential, NOW)
    assert count.total == 3  # with the begin and the end of the transaction
    with garage.read() as db:
        plan = db.exec_driver_sql("EXPLAIN QUERY PLAN SELECT secret_hash FROM device WHERE id = 'x'").fetchone()
    assert plan is not None
    assert "USING INDEX" in plan[-1]


def test_old_links_are_swept_out(garage: Garage) -> None:
    devices.make_link(garage.engine, NOW)
    devices.make_link(garage.engine, NOW + LINK_LASTS + timedelta(days=1, seconds=1))
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM pairing_token").scalar() == 1


def test_an_export_carries_neither_devices_nor_links(garage: Garage, pair: Pair, tmp_path: Path) -> None:
    credential = pair("secret phone name", NOW)
    path = tmp_path / "export.jsonl"
    with path.open("w") as out:
        transfer.export(garage, out)
    assert "secret phone name" not in path.read_text()
    assert credential.id not in path.read_text()
