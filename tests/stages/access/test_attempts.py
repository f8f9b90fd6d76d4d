"""Whoever tries again and again waits; whoever has not tried never does."""

import pytest

from webapp.stages.access.attempts import Attempts


class Clock:
    now_s = 1000.0

    def __call__(self) -> float:
        return self.now_s


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def attempts(clock: Clock) -> Attempts:
    return Attempts(clock)


def tries(attempts: Attempts, address: str, count: int) -> list[float]:
    return [attempts.begin(address) for _ in range(count)]


def test_a_few_are_free_then_each_pause_is_twice_the_last(attempts: Attempts, clock: Clock) -> None:
    assert tries(attempts, "a", 5) == [0] * 5
    pauses = []
    for _ in range(12):
        pauses.append(attempts.begin("a"))
        clock.now_s += pauses[-1]
        assert attempts.begin("a") == 0
    assert pauses == [2, 4, 8, 16, 32, 64, 128, 256, 512, 900, 900, 900]


def test_a_try_that_has_to_wait_makes_the_wait_no_longer(attempts: Attempts, clock: Clock) -> None:
    tries(attempts, "a", 5)
    assert tries(attempts, "a", 50) == [2] * 50
    clock.now_s += 1.5
    assert attempts.begin("a") == pytest.approx(0.5)


def test_another_address_does_not_wait(attempts: Attempts) -> None:
    tries(attempts, "a", 6)
    assert attempts.begin("b") == 0


def test_many_at_once_are_no_way_around(attempts: Attempts) -> None:
    """Each counts before it is known to be wrong."""
    assert sum(wait == 0 for wait in tries(attempts, "a", 100)) == attempts.FREE


def test_a_right_one_counts_for_nothing_and_excuses_nothing(attempts: Attempts) -> None:
    for _ in range(100):
        assert attempts.begin("a") == 0
        attempts.right("a")
    tries(attempts, "a", 4)
    attempts.begin("a")
    attempts.right("a")
    assert tries(attempts, "a", 2)[1] > 0


def test_many_addresses_together_are_held_back_and_a_new_one_is_not(
    attempts: Attempts, clock: Clock
) -> None:
    for number in range(attempts.MANY):
        attempts.begin(f"many-{number}")
    assert attempts.begin("many-0") > 0
    assert attempts.begin("the office") == 0
    clock.now_s += attempts.MANY_WITHIN_S
    assert tries(attempts, "many-0", 4) == [0] * 4


def test_it_is_forgotten_in_the_end(attempts: Attempts, clock: Clock) -> None:
    tries(attempts, "a", 5)
    clock.now_s += attempts.FORGET_S
    assert tries(attempts, "a", 5) == [0] * 5


def test_the_memory_is_bounded(attempts: Attempts) -> None:
    for number in range(3 * attempts.MOST_ADDRESSES):
        attempts.begin(str(number))
    assert len(attempts._by_address) == attempts.MOST_ADDRESSES
    assert len(attempts._all_s) == attempts.MANY
