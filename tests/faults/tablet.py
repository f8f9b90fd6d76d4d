"""A tablet at the bench, without its screen: it ticks, and sends by the rules of outbox.js.

What is ticked is kept until the server says that it has it. What gets no answer is sent again with
the same keys, together with what was ticked meanwhile, after a pause that grows.
"""

import json
import random
import secrets
import threading
from dataclasses import dataclass, field
from datetime import UTC, datetime
from http.client import HTTPConnection, HTTPException
from typing import Any

BATCH = 40
TIMEOUT_S = 15.0
# Much shorter than a tablet's, so that as much as may be happens at each start of the server.
FIRST_PAUSE_S, LONGEST_PAUSE_S = 0.01, 0.16


@dataclass(frozen=True)
class Stated:
    """One tick to make: which step of which unit is what."""

    unit_id: int
    step_uid: str
    state: str
    key: str = field(default_factory=lambda: secrets.token_hex(16))


@dataclass
class Tablet:
    """Makes its ticks in order, a few at a time, until each is acknowledged."""

    port: int
    person_id: int
    to_make: list[Stated]
    rng: random.Random
    acknowledged: list[Stated] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    unanswered: int = 0
    given_up: threading.Event = field(default_factory=threading.Event)
    _kept: list[Stated] = field(default_factory=list)

    def work(self) -> None:
        waiting, pause_s = list(self.to_make), FIRST_PAUSE_S
        while (waiting or self._kept) and not self.given_up.is_set():
            taps = self.rng.randint(1, 6)
            self._kept += waiting[:taps]
            del waiting[:taps]
            if self._send():
                pause_s = FIRST_PAUSE_S
            else:
                self.given_up.wait(pause_s * self.rng.uniform(0.8, 1.2))
                pause_s = min(2 * pause_s, LONGEST_PAUSE_S)

    def _send(self) -> bool:
        """Sends one batch after the other; False when no answer came, or none that settles."""
        stuck: set[int] = set()
        while one := next((each for each in self._kept if each.unit_id not in stuck), None):
            batch = [each for each in self._kept if each.unit_id == one.unit_id][:BATCH]
            try:
                status, answer = self._post(one.unit_id, batch)
            except (OSError, HTTPException, ValueError):
                self.unanswered += 1
                return False
            if status >= 500:
                stuck.add(one.unit_id)
            else:
                self._settle(batch, status, answer)
        return not stuck

    def _settle(self, batch: list[Stated], status: int, answer: dict[str, Any]) -> None:
        of_key = {each.key: each for each in batch}
        saved = [of_key[key] for key in answer.get("saved", [])]
        refused = [one["why"] for one in answer.get("refused", [])]
        if len(saved) + len(refused) != len(batch):
            refused.append(f"{status}: {answer}")
        self.refused += refused
        if refused:
            self.given_up.set()
        self.acknowledged += saved
        self._kept = [each for each in self._kept if each not in saved]

    def _post(self, unit_id: int, batch: list[Stated]) -> tuple[int, dict[str, Any]]:
        ticks = [
            {
                "key": each.key, "step_uid": each.step_uid, "state": each.state,
                "person_id": self.person_id, "note": "",
                "client_at": datetime.now(UTC).isoformat(),
            }
            for each in batch
        ]  # fmt: skip
        connection = HTTPConnection("127.0.0.1", self.port, timeout=TIMEOUT_S)
        try:
            connection.request(
                "POST", f"/units/{unit_id}/ticks", json.dumps({"ticks": ticks}),
                {"Content-Type": "application/json", "Accept": "application/json"},
            )  # fmt: skip
            response = connection.getresponse()
            return response.status, json.loads(response.read())
        finally:
            connection.close()
