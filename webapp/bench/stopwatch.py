"""How long a thing takes, by the best of several tries: the others waited for something else."""

import time
from collections.abc import Callable


def best_s(
    thing: Callable[[], object],
    *,
    tries: int = 5,
    clock: Callable[[], float] = time.perf_counter,
) -> float:
    """Shortest time of several tries. [s]"""
    times = []
    for _try in range(tries):
        begun = clock()
        thing()
        times.append(clock() - begun)
    return min(times)


def shown(seconds: float) -> str:
    """A time with the unit that suits it."""
    return f"{seconds * 1000:.2f} ms" if seconds < 1 else f"{seconds:.2f} s"
