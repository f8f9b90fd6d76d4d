"""What a quote says until somebody says otherwise: read off the design and the job."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Text, select, type_coerce
from sqlalchemy.orm import Session

from webapp.records.design import DesignCommand, Revision
from webapp.records.jobs import Project
from webapp.stages import received
from webapp.stages.clock import local_day
from webapp.stages.design.revisions import letter
from webapp.stages.design.rows import Design

NOT_INCLUDED = (
    "Fitting the loom in place, and any change to what it is fitted to",
    "Anything that is not listed in this quotation",
)
DELIVERY = "to be agreed with the order"


@dataclass(frozen=True)
class Texts:
    """Each list has a thing a line."""

    delivery: str
    rests_on: str
    customer_supplies: str
    not_included: str


def suggested(session: Session, design: Design, revision_id: int, project_id: int) -> Texts:
    """The texts as the design and the job stand now."""
    project = session.get_one(Project, project_id)
    return Texts(
        delivery=DELIVERY,
        rests_on=_rests_on(session, design, revision_id, project),
        customer_supplies="\n".join(_customer_supplies(session, design, project_id)),
        not_included="\n".join(NOT_INCLUDED),
    )


def _rests_on(session: Session, design: Design, revision_id: int, project: Project) -> str:
    revision = session.get_one(Revision, revision_id)
    parts = [
        f"{project.nominal_v} V {project.polarity}",
        f"design revision {letter(revision.number)}",
    ]
    if design.need:
        day = _needs_day(session, revision)
        parts.insert(0, f"needs list of {day.day} {day:%B %Y}")
    return ", ".join(parts)


def _needs_day(session: Session, revision: Revision) -> date:
    """When the needs were changed last in this revision; else when it was begun."""
    changes = type_coerce(DesignCommand.changes, Text)
    moment = session.scalar(
        select(DesignCommand.at)
        .where(DesignCommand.revision_id == revision.id, changes.contains('["need",'))
        .order_by(DesignCommand.id.desc())
        .limit(1)
    )
    return local_day(moment or revision.created_at)


def _customer_supplies(session: Session, design: Design, project_id: int) -> list[str]:
    """Loads by their needs, other fittings by their names, and what has come in already."""
    need_of = {
        bridge.fitting_uid: bridge.need_uid for bridge in design.bridge.values() if bridge.need_uid
    }
    counts: Counter[str] = Counter()
    for fitting in design.fitting.values():
        if fitting.supplied_by == "customer":
            need = design.need.get(need_of.get(fitting.uid) or "")
            counts[need.name if need else fitting.name] += 1
    found = [_counted(count, name) for name, count in counts.items()]
    for part in received.of_job(session, project_id):
        day = part.received_on
        found.append(f"{_counted(part.quantity, part.what)} (came in {day.day} {day:%B %Y})")
    return found


def _counted(count: int, what: str) -> str:
    return what if count == 1 else f"{count} × {what}"
