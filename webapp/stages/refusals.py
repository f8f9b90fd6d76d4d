"""How a stage says no: one plain sentence, and the field that it stands beside."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


class Refused(Exception):
    """What was asked for cannot be done; `field` is what to mend, "" when it is no field."""

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field
        self.sentence = sentence


class NotThere(Exception):
    """The row that was asked for does not exist."""


@dataclass(frozen=True)
class Both:
    """One value that two people changed to different things."""

    field: str
    theirs: Any
    yours: Any


class ChangedMeanwhile(Exception):
    """Somebody else changed the same values since the form was opened; nothing was saved.

    `now` is the row as it stands; `merged` is what saving would keep if yours won.
    """

    def __init__(
        self, both: tuple[Both, ...], now: Mapping[str, Any], merged: Mapping[str, Any]
    ) -> None:
        super().__init__("Somebody else changed this since you opened it.")
        self.both = both
        self.now = dict(now)
        self.merged = dict(merged)
