import threading

from app.records.memo import Memo


def test_what_was_worked_out_is_not_worked_out_again() -> None:
    memo: Memo[int] = Memo(3)
    made = []

    def make() -> int:
        made.append(7)
        return 7

    assert [memo.get("hose", make), memo.get("hose", make)] == [7, 7]
    assert made == [7]
    assert memo.get("clamp", lambda: 8) == 8


def test_only_the_last_ones_asked_for_are_kept() -> None:
    memo: Memo[int] = Memo(3)
    for key in range(3):
        memo.get(key, lambda key=key: key)  # type: ignore[misc]
    memo.get(0, lambda: -1)  # asked for again: the oldest is 1 now
    memo.get(3, lambda: 3)
    assert len(memo) == 3
    assert memo.get(0, lambda: -1) == 0
    assert memo.get(1, lambda: -1) == -1


def test_what_is_to_be_forgotten_is_and_nothing_else() -> None:
    memo: Memo[int] = Memo(3)
    for key in ("hose", "clamp"):
        memo.get(key, lambda: 7)
    memo.forget(lambda key: key == "hose")
    assert [memo.get(key, lambda: 8) for key in ("hose", "clamp")] == [8, 7]


def test_what_is_not_to_be_kept_is_worked_out_each_time() -> None:
    memo: Memo[int | None] = Memo(3)
    assert memo.get("file", lambda: None, keep=lambda one: one is not None) is None
    assert memo.get("file", lambda: 5, keep=lambda one: one is not None) == 5
    assert memo.get("file", lambda: None) == 5


def test_many_threads_get_their_own_answers_and_it_stays_small() -> None:
    memo: Memo[int] = Memo(4)
    wrong: list[int] = []

    def work(start: int) -> None:
        for n in range(start, start + 400):
            key = n % 11
            if memo.get(key, lambda key=key: key * key) != key * key:  # type: ignore[misc]
                wrong.append(key)

    threads = [threading.Thread(target=work, args=(n,)) for n in range(6)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert not wrong
    assert len(memo) == 4
