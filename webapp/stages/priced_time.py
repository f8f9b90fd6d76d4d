"""The time that was priced for a loom, to set beside what its units really took."""

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.jobs import Loom, Project
from webapp.records.quotes import Quote
from webapp.stages import quotes, stage_line
from webapp.stages.building import time_taken
from webapp.stages.building.time_taken import Said

# What is priced and never ticked.
NOT_TICKED = ("test_per_wire", "pack")
COUNTS = ("accepted", "issued", "reopened")


@dataclass(frozen=True)
class PricedTime:
    """The bench work of one unit as a quote priced it, testing and packing left out. [s]"""

    quote: str
    seconds: float


def of_loom(session: Session, loom_id: int) -> PricedTime | None:
    """By the quote that was accepted, else the latest that is out; None where there is none."""
    known = [one for one in quotes.of_loom(session, loom_id) if not one.is_change]
    known.sort(key=lambda one: COUNTS.index(one.state) if one.state in COUNTS else len(COUNTS))
    if not known or known[0].state not in COUNTS:
        return None
    kept = session.scalars(select(Quote.snapshot).where(Quote.id == known[0].id)).one()
    works = kept.get("build_up", {}).get("works", ())
    seconds = sum(float(one["seconds"]) for one in works if one.get("code") not in NOT_TICKED)
    return PricedTime(known[0].number, seconds) if seconds else None


@dataclass(frozen=True)
class LastTime:
    """What the same loom took when it was made before: by the code of each operation's time."""

    project_id: int
    job: str
    said: dict[str, Said]
    # Of the units that are past build; of all where none is.
    unit_seconds: tuple[float, ...]
    finished: bool

    @property
    def each_unit_s(self) -> float:
        return sum(self.unit_seconds) / len(self.unit_seconds)


def last_time(session: Session, loom_id: int) -> LastTime | None:
    """Of the loom itself where units of it are ticked, else of the job that this one repeats."""
    loom = session.get_one(Loom, loom_id)
    seen: set[int] = set()
    project = session.get(Project, loom.project_id)
    while project is not None and project.id not in seen:
        seen.add(project.id)
        same = session.scalar(
            select(Loom.id).where(Loom.project_id == project.id, Loom.name == loom.name)
        )
        by_unit = time_taken.by_unit(session, (same,)) if same else {}
        if same and by_unit:
            said = time_taken.said_of_times(time_taken.of_loom(session, same))
            stages = stage_line.stages_of_units(session, (same,))
            past = [seconds for unit_id, seconds in by_unit.items() if stages[unit_id] != "build"]
            seconds = tuple(past or by_unit.values())
            return LastTime(project.id, project.number, said, seconds, bool(past))
        project = session.get(Project, project.started_from_id) if project.started_from_id else None
    return None
