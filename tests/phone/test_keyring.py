"""A paired device costs one read in half a minute, and a removed one is out at once."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime

from sqlalchemy import event

from app.phone.keyring import REMEMBERED_S, Keyring
from app.records import devices
from app.records.devices import Credential
from app.records.garage import Garage

from ..conftest import Count
from .conftest import Pair
from .test_patience import Clock


def test_a_device_is_remembered_for_half_a_minute(garage: Garage, pair: Pair) -> None:
    clock = Clock()
    keyring, phone = Keyring(garage, clock), pair("phone")
    assert not keyring.remembered(phone)
    assert keyring.look_up(phone)
    clock.now = REMEMBERED_S - 0.1
    assert keyring.remembered(phone)
    clock.now = REMEMBERED_S
    assert not keyring.remembered(phone)


def test_while_it_is_remembered_the_database_is_left_alone(
    garage: Garage, pair: Pair, count_queries: Callable[[Garage], AbstractContextManager[Count]]
) -> None:
    keyring, phone = Keyring(garage), pair("phone")
    keyring.look_up(phone)
    with count_queries(garage) as count:
        assert keyring.remembered(phone)
    assert count.total == 0


def test_who_is_not_paired_is_not_remembered(garage: Garage) -> None:
    keyring, nobody = Keyring(garage), Credential("nobody", "x" * 43)
    assert not keyring.look_up(nobody)
    assert not keyring.remembered(nobody)


def test_another_secret_is_not_remembered_with_the_right_one(garage: Garage, pair: Pair) -> None:
    keyring, phone = Keyring(garage), pair("phone")
    keyring.look_up(phone)
    assert not keyring.remembered(Credential(phone.id, "x" * 43))


def test_a_forgotten_device_is_out_at_once_and_the_others_stay(garage: Garage, pair: Pair) -> None:
    keyring, phone, tablet = Keyring(garage), pair("phone"), pair("tablet")
    assert keyring.look_up(phone)
    assert keyring.look_up(tablet)
    devices.remove(garage.engine, phone.id, datetime.now(UTC))
    keyring.forget(phone.id)
    assert not keyring.remembered(phone)
    assert not keyring.look_up(phone)
    assert keyring.remembered(tablet)


def test_a_device_removed_while_it_is_being_looked_up_is_not_remembered(garage: Garage, pair: Pair) -> None:
    phone = pair("phone")
    keyring = Keyring(garage)

    over: list[bool] = []

    def remove_it_just_after_the_read(*_: object) -> None:
        if not over:  # the removal gives its own connection back as well
            over.append(True)
            devices.remove(garage.engine, phone.id, datetime.now(UTC))
            keyring.forget(phone.id)

    event.listen(garage.engine, "checkin", remove_it_just_after_the_read)
    assert keyring.look_up(phone)  # it was paired when looked at
    assert not keyring.remembered(phone)
    assert not keyring.look_up(phone)


def test_the_secret_itself_is_not_kept_in_memory(garage: Garage, pair: Pair) -> None:
    keyring, phone = Keyring(garage), pair("phone")
    keyring.look_up(phone)
    assert phone.secret not in repr(vars(keyring))
