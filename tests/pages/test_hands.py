import asyncio
import threading
from functools import partial

import pytest

from app.pages.hands import Hands


def test_what_the_work_returns_or_raises_comes_back_to_whoever_asked() -> None:
    async def asked() -> None:
        hands = Hands()
        assert await hands.do(lambda: 7) == 7
        with pytest.raises(ValueError, match="no such hose"):
            await hands.do(_fails)
        assert await hands.do(lambda: 8) == 8

    asyncio.run(asked())


def test_a_page_that_takes_long_holds_up_no_other() -> None:
    other_came = threading.Event()

    async def asked() -> bool:
        hands = Hands()
        waited, _ = await asyncio.gather(hands.do(lambda: other_came.wait(60)), hands.do(other_came.set))
        return waited

    assert asyncio.run(asked())


def test_no_more_threads_are_begun_than_allowed_and_all_are_answered() -> None:
    hands, names = Hands(2), set()
    lock = threading.Lock()

    def work(number: int) -> int:
        with lock:
            names.add(threading.get_ident())
        return number

    async def asked() -> list[int]:
        return await asyncio.gather(*(hands.do(partial(work, number)) for number in range(50)))

    for _ in range(3):
        assert asyncio.run(asked()) == [*range(50)]
    assert len(names) <= hands.threads <= 2


def test_one_who_asked_and_went_away_leaves_the_hands_free_for_others() -> None:
    go_on = threading.Event()

    async def asked() -> int:
        hands = Hands(1)
        gone = asyncio.ensure_future(hands.do(lambda: go_on.wait(60)))
        await asyncio.sleep(0)
        gone.cancel()
        go_on.set()
        return await hands.do(lambda: 7)

    assert asyncio.run(asked()) == 7


def _fails() -> int:
    raise ValueError("no such hose")
