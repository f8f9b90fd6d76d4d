"""What the customer handed in with a job: each thing gets a code for its tag."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.jobs import Project, ReceivedPart
from webapp.stages import codes, journal
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.values import required


@dataclass(frozen=True)
class ReceivedRow:
    id: int
    code: str
    what: str
    quantity: int
    from_whom: str
    received_on: date
    condition: str


def of_job(session: Session, project_id: int) -> tuple[ReceivedRow, ...]:
    """What came in with a job, in the order in which it was written down."""
    rows = session.scalars(
        select(ReceivedPart).where(ReceivedPart.project_id == project_id).order_by(ReceivedPart.id)
    )
    return tuple(
        ReceivedRow(r.id, r.code, r.what, r.quantity, r.from_whom, r.received_on, r.condition)
        for r in rows
    )


def add(
    session: Session,
    project_id: int,
    *,
    what: str,
    quantity: int,
    from_whom: str,
    received_on: date,
    condition: str,
    person_id: int,
    once: str = "",
) -> str:
    """Writes down a part of the customer's; returns its code, the same again for the same `once`.

    Raises:
        NotThere: no such job.
        Refused: it does not say what came in, or how many.
    """
    if session.get(Project, project_id) is None:
        raise NotThere
    if before := journal.known(session, once):
        return str(before[1]["code"])
    what = required("what", what, "what came in")
    if quantity < 1:
        raise Refused("quantity", "Enter how many came in.")
    code = codes.new_code(session, codes.RECEIVED)
    session.add(
        ReceivedPart(
            project_id=project_id,
            code=code,
            what=what,
            quantity=quantity,
            from_whom=from_whom,
            received_on=received_on,
            condition=condition,
        )
    )
    giver = f" from {from_whom}" if from_whom else ""
    sentence = f"Came in{giver}: {quantity} × {what}."
    journal.write(session, project_id, sentence, person_id, details={"code": code}, once=once)
    session.flush()
    return code
