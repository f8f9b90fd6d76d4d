"""The head of every paper: letterhead, job, codes, revision."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from sqlalchemy.orm import Session

from webapp.pages.papers.design_values import DesignValues
from webapp.paper import values as paper
from webapp.stages import catalogue, jobs, looms, received, workshop
from webapp.stages.building import units
from webapp.stages.building.units import UnitRow
from webapp.stages.clock import today
from webapp.stages.design import revisions, rows
from webapp.stages.jobs import Job
from webapp.stages.looms import LoomRow
from webapp.stages.received import ReceivedRow


@dataclass(frozen=True)
class Subject:
    """What a paper is about: a loom, or one unit of it, at one revision."""

    loom: LoomRow
    job: Job
    revision: str
    revision_id: int
    signed_off: bool
    unit: UnitRow | None
    batch: tuple[UnitRow, ...]
    values: DesignValues
    head: paper.Head
    # What people typed by hand goes through it: who prints may not be meant to read all.
    discreet: Callable[[str], str] = str

    @property
    def unit_words(self) -> str:
        return f"unit {self.unit.number} of {len(self.batch)}" if self.unit else ""


def as_read_by(about: Subject, discreet: Callable[[str], str]) -> Subject:
    """The subject with the job's card and what was noted on wires as who prints may read it."""
    card = about.job.values
    card = replace(card, equipment=discreet(card.equipment), notes=discreet(card.notes))
    return replace(
        about,
        job=replace(about.job, values=card),
        values=replace(about.values, discreet=discreet),
        discreet=discreet,
    )


def handed_in(session: Session, about: Subject) -> list[ReceivedRow]:
    """The customer's own parts, as the one who prints may read of them."""
    return [
        replace(
            part,
            what=about.discreet(part.what),
            from_whom=about.discreet(part.from_whom),
            condition=about.discreet(part.condition),
        )
        for part in received.of_job(session, about.job.id)
    ]


def code_address(address_url: str, code: str) -> str:
    """The permanent address behind a QR code."""
    return f"{address_url.rstrip('/')}/c/{code}"


def loom_subject(session: Session, loom_id: int) -> Subject:
    """A loom at its latest signed-off revision, or at its draft where nothing is signed off.

    Raises:
        NotThere: no such loom.
    """
    loom = looms.get(session, loom_id)
    revision = revisions.latest_signed_off(session, loom_id) or revisions.latest(session, loom_id)
    return _subject(session, loom, revision.letter, revision.id, revision.signed_off, None)


def unit_subject(session: Session, unit_id: int) -> Subject:
    """One unit at the revision that it is built to.

    Raises:
        NotThere: no such unit.
    """
    unit = units.row(session, unit_id)
    loom = looms.get(session, unit.loom_id)
    return _subject(session, loom, unit.revision, unit.revision_id, True, unit)


def _subject(
    session: Session,
    loom: LoomRow,
    letter: str,
    revision_id: int,
    signed_off: bool,
    unit: UnitRow | None,
) -> Subject:
    job = jobs.get(session, loom.project_id)
    shop = workshop.get(session)
    code = unit.code if unit else loom.code
    head = paper.Head(
        workshop=letterhead(shop),
        job_code=job.number,
        job=f"{job.values.title}, {loom.name}",
        customer=job.customer,
        short_code=code,
        qr_text=code_address(shop.address_url, code),
        revision=letter if signed_off else f"{letter}, draft",
        printed_on=today(),
    )
    design = rows.load(session, revision_id)
    return Subject(
        loom=loom,
        job=job,
        revision=letter,
        revision_id=revision_id,
        signed_off=signed_off,
        unit=unit,
        batch=tuple(units.of_loom(session, loom.id)),
        values=DesignValues(design, catalogue.read(session).parts),
        head=head,
    )


def letterhead(shop: workshop.WorkshopValues) -> paper.Workshop:
    return paper.Workshop(
        name=shop.name,
        address=tuple(line for line in shop.address.splitlines() if line.strip()),
        phone=shop.phone,
        email=shop.email,
        vat_number=shop.vat_number,
    )
