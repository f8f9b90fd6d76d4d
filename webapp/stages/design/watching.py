"""What tells a page that its design has changed since, and what was done to it meanwhile."""

import re
from dataclasses import dataclass
from typing import Any

from sqlalchemy import BindParameter, Connection, Select, bindparam, event, func, select
from sqlalchemy.orm import Mapper, Session, aliased, object_session

from webapp.records.design import DesignCommand, FindingAnswer, Revision
from webapp.records.people import Person
from webapp.stages.design.revisions import letter
from webapp.stages.refusals import NotThere

MOST_TOLD = 20
WROTE = "design commands written"
MARK = re.compile(r"(\d{1,12})\.(\d{1,12})\.(\d{1,12})\.([01])", re.ASCII)


@dataclass(frozen=True)
class Standing:
    """Where a loom's design stands: its `mark` changes with everything that a page may show."""

    revision_id: int
    number: int
    command_id: int
    answer_id: int
    signed_off: bool

    @property
    def mark(self) -> str:
        return f"{self.revision_id}.{self.command_id}.{self.answer_id}.{int(self.signed_off)}"


@dataclass(frozen=True)
class Done:
    """One command that a page has not seen. `of_id` is whose edit it takes back."""

    id: int
    by_id: int | None
    by: str
    sentence: str
    undoes: bool
    of_id: int | None


def _standing() -> Select[Any]:
    commands = select(func.max(DesignCommand.id)).where(DesignCommand.revision_id == Revision.id)
    answers = select(func.max(FindingAnswer.id)).where(FindingAnswer.loom_id == Revision.loom_id)
    loom_id: BindParameter[int] = bindparam("loom")
    return (
        select(
            Revision.id,
            Revision.number,
            commands.scalar_subquery(),
            answers.scalar_subquery(),
            Revision.signed_off_at.is_not(None),
        )
        .where(Revision.loom_id == loom_id)
        .order_by(Revision.number.desc())
        .limit(1)
    )


STANDING = _standing()


def standing(session: Session, loom_id: int) -> Standing:
    """One statement, on indexes, made once: it is asked every second by every page that is open.

    Raises:
        NotThere: no such loom.
    """
    found = session.execute(STANDING, {"loom": loom_id}).first()
    if found is None:
        raise NotThere
    revision_id, number, command_id, answer_id, signed_off = found
    return Standing(revision_id, number, command_id or 0, answer_id or 0, bool(signed_off))


def done_since(session: Session, loom_id: int, mark: str) -> tuple[Done, ...]:
    """The last commands that came after a mark, the oldest first; none for what is no mark."""
    seen = MARK.fullmatch(mark)
    if seen is None:
        return ()
    undone = aliased(DesignCommand)
    rows = session.execute(
        select(
            DesignCommand.id,
            DesignCommand.person_id,
            Person.name,
            DesignCommand.sentence,
            DesignCommand.undoes_id.is_not(None),
            undone.person_id,
        )
        .join(Revision, DesignCommand.revision_id == Revision.id)
        .outerjoin(Person, DesignCommand.person_id == Person.id)
        .outerjoin(undone, DesignCommand.undoes_id == undone.id)
        # A new revision has no commands yet, or later ones than the mark's.
        .where(Revision.loom_id == loom_id, DesignCommand.id > int(seen.group(2)))
        .order_by(DesignCommand.id.desc())
        .limit(MOST_TOLD)
    )
    return tuple(
        Done(id, by_id, by or "Somebody", sentence, bool(undoes), of_id)
        for id, by_id, by, sentence, undoes, of_id in reversed(rows.all())
    )


def signed_off_since(now: Standing, mark: str) -> str:
    """The letter of the revision when it was signed off after a mark; else nothing."""
    seen = MARK.fullmatch(mark)
    was_draft = seen is not None and seen.group(4) == "0" and int(seen.group(1)) == now.revision_id
    return letter(now.number) if was_draft and now.signed_off else ""


def wrote(session: Session) -> tuple[int, ...]:
    """The commands that this session has written: their answer shows what they did."""
    return tuple(session.info.get(WROTE, ()))


@event.listens_for(DesignCommand, "after_insert")
def _written(_mapper: Mapper[DesignCommand], _on: Connection, command: DesignCommand) -> None:
    session = object_session(command)
    if session is not None:
        session.info.setdefault(WROTE, []).append(command.id)
