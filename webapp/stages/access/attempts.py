"""Wrong passwords and codes: whoever tries again and again waits longer and longer.

Each address has a few tries free, then a pause that doubles with each. When many addresses
together make many mistakes, each has but one free. An address that has made none is never made
to wait, so that a right password from elsewhere always opens. All of it is kept in memory, for
a bounded number of addresses.
"""

import threading
import time
from collections import OrderedDict, deque
from collections.abc import Callable
from dataclasses import dataclass


@dataclass
class _Tries:
    count: int
    last_s: float


class Attempts:
    """The tries at one kind of secret.

    A try counts as wrong from its beginning, so that many at once are no way around.
    """

    FREE = 5
    FIRST_PAUSE_S = 2.0
    LONGEST_PAUSE_S = 15 * 60.0
    FORGET_S = 60 * 60.0
    # Of all addresses together.
    MANY = 40
    MANY_WITHIN_S = 10 * 60.0
    MOST_ADDRESSES = 1000

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._by_address: OrderedDict[str, _Tries] = OrderedDict()
        self._all_s: deque[float] = deque(maxlen=self.MANY)

    def begin(self, address: str) -> float:
        """Counts a try, unless it has to wait: answers for how many seconds yet, 0 for none."""
        with self._lock:
            now = self._clock()
            self._forget(now)
            tries = self._by_address.get(address) or _Tries(0, now)
            wait_s = tries.last_s + self._pause_s(tries.count, now) - now
            if wait_s > 0:
                return wait_s
            self._by_address[address] = _Tries(tries.count + 1, now)
            self._by_address.move_to_end(address)
            while len(self._by_address) > self.MOST_ADDRESSES:
                self._by_address.popitem(last=False)
            self._all_s.append(now)
            return 0.0

    def right(self, address: str) -> None:
        """The try that was begun was right: it alone counts no more.

        The wrong ones stay, or a person with a password of their own could guess on for ever.
        """
        with self._lock:
            if tries := self._by_address.get(address):
                tries.count -= 1
                if not tries.count:
                    del self._by_address[address]
            if self._all_s:
                self._all_s.pop()

    def _pause_s(self, count: int, now: float) -> float:
        many = len(self._all_s) == self.MANY and now - self._all_s[0] < self.MANY_WITHIN_S
        over = count - (1 if many else self.FREE)
        if over < 0 or not count:
            return 0.0
        return min(self.FIRST_PAUSE_S * 2.0 ** min(over, 30), self.LONGEST_PAUSE_S)

    def _forget(self, now: float) -> None:
        """Drops the addresses whose last try is long ago; they stand in its order."""
        while self._by_address:
            address, oldest = next(iter(self._by_address.items()))
            if now - oldest.last_s < self.FORGET_S:
                return
            del self._by_address[address]
