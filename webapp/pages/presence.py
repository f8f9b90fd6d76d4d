"""Who has a page of a loom open. It is kept in memory: nobody needs to know it tomorrow."""

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
