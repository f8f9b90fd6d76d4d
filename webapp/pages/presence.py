"""Who has a page open, and who works on what. In memory: nobody needs to know it tomorrow."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

SEEN_WITHIN_S = 15.0


@dataclass(frozen=True, order=True)
class Here:
    """A person and the page that is open; nobody's id is None."""

    name: str
    page: str


@dataclass(frozen=True)
class AtBench:
    """Who has a bench list open, of which unit, and what it shows: "Crimp, ring M8 on 4 mm²"."""

    person_id: int
    name: str
    loom_id: int
    unit_id: int
    at: str


@dataclass(frozen=True)
class _Tab:
    loom_id: int
    person_id: int | None
    here: Here
    seen_s: float


class Presence:
    """The open pages by tab. Each says every second that it is still there."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._tabs: dict[str, _Tab] = {}
        self._benches: dict[str, tuple[AtBench, float]] = {}

    def seen(self, tab: str, loom_id: int, person_id: int | None, here: Here) -> tuple[Here, ...]:
        """Notes a tab, and says who else has this loom open."""
        now = self._clock()
        with self._lock:
            self._tabs = {
                key: each for key, each in self._tabs.items() if now - each.seen_s < SEEN_WITHIN_S
            }
            self._tabs[tab] = _Tab(loom_id, person_id, here, now)
            others = {
                each.here
                for key, each in self._tabs.items()
                if key != tab
                and each.loom_id == loom_id
                and (person_id is None or each.person_id != person_id)
            }
        return tuple(sorted(others))

    def at_bench(self, tab: str, bench: AtBench) -> None:
        """Notes a bench list that is open."""
        with self._lock:
            self._benches[tab] = (bench, self._clock())

    def benches(self, loom_id: int | None = None) -> tuple[AtBench, ...]:
        """Who is at which bench list now, of one loom or of all, by name."""
        now = self._clock()
        with self._lock:
            self._benches = {
                tab: (bench, seen_s)
                for tab, (bench, seen_s) in self._benches.items()
                if now - seen_s < SEEN_WITHIN_S
            }
            found = {bench for bench, _ in self._benches.values()}
        return tuple(
            sorted(
                (bench for bench in found if loom_id in (None, bench.loom_id)),
                key=lambda bench: (bench.name, bench.unit_id, bench.at),
            )
        )
