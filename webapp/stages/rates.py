"""What a job is priced with: the rates, and how long each operation takes."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.workshop import OperationTime, Rates
from webapp.stages.editing import merged
from webapp.stages.refusals import Refused

# Seconds by operation: common practice, for the workshop to put its own times in.
FIRST_TIMES = (
    ("cut", "Cut one wire to length", 25),
    ("thread_on", "Thread seal, boot or sleeve on one end", 15),
    ("strip", "Strip one end", 15),
    ("crimp", "Crimp one end", 30),
    ("solder", "Solder one end", 60),
    ("shrink", "Shrink one sleeve", 30),
    ("tug", "Tug one end", 8),
    ("insert", "Insert one end and lock it", 20),
    ("tag", "Tag one end", 20),
    ("splice", "Make one splice", 150),
    ("cover_per_m", "Cover one metre of branch", 180),
    ("fit_plug", "Assemble one plug or socket half", 120),
    ("test_per_wire", "Test one wire", 60),
    ("bind_per_m", "Lay and bind one metre", 240),
    ("pack", "Pack one loom with its papers", 900),
)
RATE_FIELDS = (
    "labour_minor_per_hour",
    "set_up_s",
    "design_s",
    "scrap_percent",
    "overhead_percent",
    "margin_percent",
    "discount_percent",
    "vat_percent",
    "deposit_percent",
    "validity_days",
)
PERCENT_OF_A_WHOLE = ("discount_percent", "deposit_percent")


@dataclass(frozen=True)
class Operation:
    code: str
    title: str
    seconds: int


def set_up(session: Session) -> None:
    """The rates and times that a new workshop starts from."""
    session.add(Rates(id=1))
    for position, (code, title, seconds) in enumerate(FIRST_TIMES):
        session.add(OperationTime(code=code, title=title, seconds=seconds, position=position))
    session.flush()


def values(session: Session) -> dict[str, Any]:
    """The rates by field name, and each operation's seconds under `time_` and its code."""
    rates = session.get_one(Rates, 1)
    times = {f"time_{one.code}": one.seconds for one in operations(session)}
    return {field: getattr(rates, field) for field in RATE_FIELDS} | times


def operations(session: Session) -> tuple[Operation, ...]:
    """The operations in the order of the work."""
    rows = session.scalars(select(OperationTime).order_by(OperationTime.position))
    return tuple(Operation(row.code, row.title, row.seconds) for row in rows)


def edit(session: Session, opened: Mapping[str, Any], typed: Mapping[str, Any]) -> None:
    """Changes rates and times, named as in `values`. Issued quotes keep what they said.

    Raises:
        ChangedMeanwhile: somebody else changed the same values since the form was opened.
        Refused: a figure is negative, or a share of the price more than the whole.
    """
    result = merged(now=values(session), opened=opened, typed=typed)
    for field, value in result.items():
        if value < 0:
            raise Refused(field, "This cannot be less than 0.")
    for field in PERCENT_OF_A_WHOLE:
        if result[field] > 100:
            raise Refused(field, "This cannot be more than 100 %.")
    rates = session.get_one(Rates, 1)
    for field in RATE_FIELDS:
        setattr(rates, field, result[field])
    for operation in session.scalars(select(OperationTime)):
        operation.seconds = result[f"time_{operation.code}"]
    session.flush()
