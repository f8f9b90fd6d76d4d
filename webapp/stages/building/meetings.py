"""Two tablets at one step: which entry holds, and in words for both who stated what.

A device says with an entry which tick of the step it had seen last. Where another is the last by
now, the two meet. The same stated twice counts once. What says that work is not fit stands, also
over another's tick, because that is the safe side. Anything else waits until its person has seen
what the other said.
"""

from dataclasses import dataclass
from datetime import datetime
from ipaddress import ip_address

from sqlalchemy import select

from webapp.convention import now
from webapp.records.bench import Tick, TickMeeting
from webapp.records.people import Person
from webapp.stages.building.at_bench import AtBench, Last
from webapp.stages.building.bench import Answer, Entry
from webapp.stages.building.tick_states import WORDS
from webapp.stages.clock import local_moment

# So many characters at the head of its keys are a device's own, so that a queue that it sends is
# not taken for another's.
OWN_HEAD = 12


@dataclass(frozen=True)
class Stated:
    """One entry: what, by whom and when."""

    state: str
    note: str
    who: str
    device: str
    at: datetime

    @property
    def by(self) -> str:
        """JS at 10:14 (tablet 2)"""
        named = _device_name(self.device)
        return f"{self.who} at {local_moment(self.at)}" + (f" ({named})" if named else "")

    @property
    def what(self) -> str:
        """on hold: the reel is empty"""
        return WORDS[self.state] + (f": {self.note}" if self.note else "")


def _device_name(device: str) -> str:
    """A device that has no name of its own is known by its address, which tells nobody much."""
    try:
        ip_address(device)
    except ValueError:
        return "" if device == "form" else device
    return ""


def unseen(bench: AtBench, entry: Entry) -> Last | None:
    """The tick of the step that the entry's device had not seen; None where there is none."""
    last = bench.last.get(entry.step_uid)
    return last if last is not None and _is_unseen(last, entry) else None


def _is_unseen(last: Last | Tick, entry: Entry) -> bool:
    if entry.seen is None or last.id == entry.seen:
        return False
    return last.key[:OWN_HEAD] != entry.key[:OWN_HEAD]


def stands(state: str, first: str) -> bool:
    """Whether an entry is written although it meets another."""
    if state == first:
        return False
    return state == "held" or (state in ("rework", "scrapped") and first == "done")


def outcome(state: str, first: str) -> str:
    return "same" if state == first else "refused"


def noted(entry: Entry) -> str:
    """What a person said and measured, where the entry itself is not written."""
    measured = []
    if entry.height_mm is not None:
        measured.append(f"height {now().number(entry.height_mm, 2)} mm")
    if entry.pull_n is not None:
        measured.append(f"pull {now().number(entry.pull_n, 0)} N")
    return "; ".join(filter(None, (entry.note.strip(), *measured)))


def standing(bench: AtBench, entry: Entry, met_id: int | None) -> Answer:
    """What the device is told of an entry that is written, over a tick that it had not seen."""
    told = ""
    if met_id is not None:
        first = _stated(bench, bench.session.get_one(Tick, met_id))
        told = stands_words(bench.plan.named(entry.step_uid), first)
    return Answer(entry.key, True, told=told)


def known(bench: AtBench, entry: Entry, row: Tick | TickMeeting) -> Answer:
    """What the device is told of an entry that was dealt with: the same each time it sends it."""
    if isinstance(row, Tick):
        return standing(bench, entry, _met_id(bench, entry, row))
    where = bench.plan.named(entry.step_uid)
    first = _stated(bench, bench.session.get_one(Tick, row.tick_id))
    if row.outcome == "same":
        return Answer(entry.key, True, told=same_words(where, first))
    return Answer(entry.key, False, refused_words(where, first))


def _met_id(bench: AtBench, entry: Entry, row: Tick) -> int | None:
    """The tick over which this one stands, where its device had not seen that."""
    if entry.seen is None:
        return None
    before = bench.session.scalars(
        select(Tick)
        .where(Tick.unit_id == row.unit_id, Tick.step_uid == row.step_uid, Tick.id < row.id)
        .order_by(Tick.id.desc())
        .limit(1)
    ).first()
    return before.id if before is not None and _is_unseen(before, entry) else None


def _stated(bench: AtBench, tick: Tick) -> Stated:
    who = bench.session.get_one(Person, tick.person_id).initials
    return Stated(tick.state, tick.note, who, tick.device, tick.at)


def same_words(where: str, first: Stated) -> str:
    """To the second, where both state the same."""
    return f"{where}: already {WORDS[first.state]}, by {first.by}. It counts once."


def refused_words(where: str, first: Stated) -> str:
    """To the second, whose entry is not taken because of one that the device had not seen."""
    return (
        f"{where}: not taken, because {first.by} had said meanwhile: {first.what}. "
        "Look at it, then say it again."
    )


def stands_words(where: str, first: Stated) -> str:
    """To the second, whose entry stands over one that the device had not seen."""
    return f"{where}: {first.by} had said meanwhile: {first.what}. What you say stands."


def both_words(where: str, first: Stated, second: Stated, outcome: str) -> str:
    """To both, from the feed."""
    if outcome == "same":
        return f"{where}: {WORDS[first.state]} by {first.by}, and by {second.by}. It counts once."
    return (
        f"{where}: {first.what}, by {first.by}. It stays so; not taken: {second.what}, by "
        f"{second.by}."
    )
