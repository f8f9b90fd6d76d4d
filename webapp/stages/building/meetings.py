"""Two tablets at one step: what became of the second entry, in words for both who stated them."""

from dataclasses import dataclass
from datetime import datetime

from webapp.stages.building.tick_states import WORDS
from webapp.stages.clock import local_moment


@dataclass(frozen=True)
class Stated:
    """One entry, by whom and when: "JS at 10:14 (tablet 2)"."""

    state: str
    note: str
    who: str
    device: str
    at: datetime

    @property
    def by(self) -> str:
        device = f" ({self.device})" if self.device else ""
        return f"{self.who} at {local_moment(self.at)}{device}"

    @property
    def what(self) -> str:
        """on hold: the reel is empty."""
        return WORDS[self.state] + (f": {self.note}" if self.note else "")


def same_words(where: str, first: Stated) -> str:
    """To the second, where both state the same."""
    return f"{where}: {WORDS[first.state]} already, by {first.by}. It counts once."


def refused_words(where: str, first: Stated) -> str:
    """To the second, whose entry is not taken because of one that the device had not seen."""
    return (
        f"{where}: not taken, because {first.by} had said meanwhile: {first.what}. "
        "Look at it, then say it again."
    )


def stands_words(where: str, first: Stated) -> str:
    """To the second, whose entry stands over one that the device had not seen."""
    return f"{where}: {first.by} had said meanwhile: {first.what}. What you said stands now."


def both_words(where: str, first: Stated, second: Stated, outcome: str) -> str:
    """To both, from the feed."""
    if outcome == "same":
        return f"{where}: {WORDS[first.state]} by {first.by}, and by {second.by}. It counts once."
    return (
        f"{where}: {first.what}, by {first.by}. It stays so; not taken from {second.by}: "
        f"{second.what}."
    )
