"""Ten wrong links a minute, then an address waits."""

from hypothesis import given
from hypothesis import strategies as st

from app.phone.patience import TRIES, Patience


class Clock:
    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def test_ten_wrong_tries_are_borne_and_then_no_more() -> None:
    patience = Patience(Clock())
    for _ in range(TRIES):
        assert not patience.is_out("192.168.1.9")
        patience.wrong("192.168.1.9")
    assert patience.is_out("192.168.1.9")


def test_a_minute_later_all_is_forgiven() -> None:
    clock = Clock()
    patience = Patience(clock)
    for _ in range(TRIES):
        patience.wrong("192.168.1.9")
    clock.now = 59.9
    assert patience.is_out("192.168.1.9")
    clock.now = 60.0
    assert not patience.is_out("192.168.1.9")


def test_one_address_does_not_lock_another_out() -> None:
    patience = Patience(Clock())
    for _ in range(TRIES):
        patience.wrong("192.168.1.9")
    assert not patience.is_out("192.168.1.10")


def test_one_machine_is_not_as_many_as_it_has_ipv6_addresses() -> None:
    patience = Patience(Clock())
    for n in range(TRIES):
        patience.wrong(f"fd12::{n:x}")
    assert patience.is_out("fd12::ffff")
    assert not patience.is_out("fd13::1")


@given(st.lists(st.floats(min_value=0, max_value=30), max_size=60))
def test_never_more_than_ten_within_any_minute(pauses: list[float]) -> None:
    clock = Clock()
    patience = Patience(clock)
    let_through: list[float] = []
    for pause in pauses:
        clock.now += pause
        if not patience.is_out("192.168.1.9"):
            patience.wrong("192.168.1.9")
            let_through.append(clock.now)
    for at in let_through:
        assert sum(at - 60 < one <= at for one in let_through) <= TRIES


def test_ever_new_addresses_do_not_fill_the_memory() -> None:
    patience = Patience(Clock())
    for n in range(5000):
        patience.wrong(f"10.0.{n // 250}.{n % 250}")
    assert len(patience._wrong) <= 1000
