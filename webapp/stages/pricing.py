"""The price of a loom: its parts and work at the workshop's rates, on the quote's own terms."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from webapp.costing.labour import Work
from webapp.costing.materials import Material
from webapp.costing.price import Extra, Price, Rates, price
from webapp.costing.reasons import CostError
from webapp.records.quotes import QuoteExtra, QuoteTerms
from webapp.stages import catalogue, jobs, looms, quote_texts, rates, workshop
from webapp.stages.design import revisions, rows
from webapp.stages.design.revisions import RevisionState
from webapp.stages.design.rows import Design
from webapp.stages.editing import merged
from webapp.stages.jobs import Job
from webapp.stages.looms import LoomRow
from webapp.stages.parts_list import Missing, PartsList, PartUse, parts_list
from webapp.stages.quote_texts import Texts
from webapp.stages.refusals import Refused
from webapp.stages.values import required

# Most that each may be; empty means the workshop's rate.
PERCENTS = {
    "margin_percent": 1000,
    "discount_percent": 100,
    "vat_percent": 100,
    "deposit_percent": 100,
}
MOST_VALIDITY_DAYS = 730
MOST_EXTRA_QUANTITY = 9999
TEXTS = tuple(Texts.__dataclass_fields__)


@dataclass(frozen=True)
class Terms:
    """What holds for the next quote, the workshop's rates filled in."""

    margin_percent: Decimal
    discount_percent: Decimal
    vat_percent: Decimal
    deposit_percent: Decimal
    validity_days: int
    texts: Texts


@dataclass(frozen=True)
class Priced:
    """A loom with its parts and its price; `price` is None where `problem` says why."""

    job: Job
    loom: LoomRow
    revision: RevisionState
    design: Design
    parts: PartsList
    terms: Terms
    scrap_percent: Decimal
    price: Price | None
    problem: str
    currency: str

    @property
    def total_minor(self) -> int | None:
        """What the customer pays for all of it. [minor units]"""
        return None if self.price is None else self.price.pay.total.minor

    @property
    def missing(self) -> tuple[Missing, ...]:
        return self.parts.missing


def read(session: Session, loom_id: int, revision: RevisionState | None = None) -> Priced:
    """The loom at today's rates, by its latest revision or the one that is given.

    Raises:
        NotThere: no such loom.
    """
    loom = looms.get(session, loom_id)
    revision = revision or revisions.latest(session, loom_id)
    return of_design(session, loom, revision, rows.load(session, revision.id))


def of_design(session: Session, loom: LoomRow, revision: RevisionState, design: Design) -> Priced:
    """The loom at today's rates as `design` has it, which need not be kept anywhere."""
    parts = parts_list(design, catalogue.read(session))
    chosen = values(session, loom.id, design, revision.id)
    standing = rates.values(session)
    terms = _terms(chosen, standing)
    made, problem = _price(session, parts, loom.quantity, chosen["extras"], terms, standing)
    return Priced(
        job=jobs.get(session, loom.project_id),
        loom=loom,
        revision=revision,
        design=design,
        parts=parts,
        terms=terms,
        scrap_percent=_exact(standing["scrap_percent"]),
        price=made,
        problem=problem,
        currency=workshop.get(session).currency,
    )


def material(use: PartUse, scrap_percent: Decimal) -> Material:
    """A part of the list as costing takes it."""
    name = f"{use.part.name}, {use.colour}" if use.colour else use.part.name
    return Material(
        what=name,
        quantity=use.quantity,
        unit=use.unit,
        price_minor=use.part.price_minor,
        price_per=use.part.price_per,
        scrap_percent=scrap_percent if use.scrapped else 0,
        source=f"price in the stores ({use.part.price_note or 'the workshop’s own'})",
    )


def _price(
    session: Session,
    parts: PartsList,
    units: int,
    extras: Sequence[Extra],
    terms: Terms,
    standing: Mapping[str, Any],
) -> tuple[Price | None, str]:
    scrap_percent = _exact(standing["scrap_percent"])
    materials = [material(use, scrap_percent) for use in parts.parts]
    works = [
        Work(one.code, one.title, count, one.seconds)
        for one in rates.operations(session)
        if (count := parts.operations.get(one.code))
    ]
    try:
        at = costing_rates(terms, standing)
        return price(materials, works, extras, units=units, rates=at), ""
    except CostError as error:
        return None, f"No price can be made: {error.message} Look at the rates and the stores."


def costing_rates(terms: Terms, standing: Mapping[str, Any]) -> Rates:
    """The workshop's rates (as in `rates.values`) and the quote's terms, as costing takes them."""
    return Rates(
        labour_minor_per_hour=standing["labour_minor_per_hour"],
        set_up_s=standing["set_up_s"],
        design_s=standing["design_s"],
        overhead_percent=_exact(standing["overhead_percent"]),
        margin_percent=terms.margin_percent,
        discount_percent=terms.discount_percent,
        vat_percent=terms.vat_percent,
        deposit_percent=terms.deposit_percent,
    )


def _exact(percent: float) -> Decimal:
    """A percentage as it was typed; the table keeps it as a binary fraction."""
    return Decimal(str(percent))


def _terms(chosen: Mapping[str, Any], standing: Mapping[str, Any]) -> Terms:
    def own(field: str) -> Any:
        return standing[field] if chosen[field] is None else chosen[field]

    return Terms(
        **{field: _exact(own(field)) for field in PERCENTS},
        validity_days=own("validity_days"),
        texts=Texts(**{field: chosen[field] for field in TEXTS}),
    )


# --- what is typed --------------------------------------------------------------------------------


def values(session: Session, loom_id: int, design: Design, revision_id: int) -> dict[str, Any]:
    """The terms and extra lines as the form shows them.

    A percentage or the validity is None where the workshop's rate holds. A text that nobody has
    set follows the design.
    """
    project_id = looms.get(session, loom_id).project_id
    texts = quote_texts.suggested(session, design, revision_id, project_id)
    row = session.get(QuoteTerms, loom_id)
    found: dict[str, Any] = {
        field: getattr(row, field) if row else None for field in (*PERCENTS, "validity_days")
    }
    for field, text in asdict(texts).items():
        found[field] = (getattr(row, field) if row else "") or text
    found["extras"] = tuple(
        Extra(extra.what, extra.quantity, extra.each_minor)
        for extra in session.scalars(
            select(QuoteExtra).where(QuoteExtra.loom_id == loom_id).order_by(QuoteExtra.id)
        )
    )
    return found


def edit(
    session: Session, loom_id: int, opened: Mapping[str, Any], typed: Mapping[str, Any]
) -> None:
    """Changes terms and extra lines, named as in `values`. Issued quotes keep what they said.

    A text that is emptied, or as suggested, follows the design again.

    Raises:
        NotThere: no such loom.
        ChangedMeanwhile: somebody else changed the same value since the form was opened.
        Refused: a figure is out of range, or an extra line does not say what it is.
    """
    looms.get(session, loom_id)
    revision_id = revisions.latest(session, loom_id).id
    design = rows.load(session, revision_id)
    now = values(session, loom_id, design, revision_id)
    result = merged(now=now, opened=opened, typed=typed)
    _check(result)
    if result == now:
        return
    project_id = looms.get(session, loom_id).project_id
    follows = asdict(quote_texts.suggested(session, design, revision_id, project_id))
    row = session.get(QuoteTerms, loom_id)
    if row is None:
        row = QuoteTerms(loom_id=loom_id, version=0)
        session.add(row)
    for field in (*PERCENTS, "validity_days"):
        setattr(row, field, result[field])
    for field in TEXTS:
        setattr(row, field, "" if result[field] == follows[field] else result[field])
    row.version += 1
    if result["extras"] != now["extras"]:
        _replace_extras(session, loom_id, result["extras"])
    session.flush()


def _check(result: Mapping[str, Any]) -> None:
    for field, most in PERCENTS.items():
        value = result[field]
        if value is not None and not 0 <= value <= most:
            raise Refused(field, f"This must be from 0 to {most} %.")
    days = result["validity_days"]
    if days is not None and not 1 <= days <= MOST_VALIDITY_DAYS:
        raise Refused("validity_days", f"A quote holds for 1 to {MOST_VALIDITY_DAYS} days.")
    for extra in result["extras"]:
        required("extras", extra.what, "what the extra line is for")
        if not 1 <= extra.quantity <= MOST_EXTRA_QUANTITY or extra.each_minor < 0:
            raise Refused(
                "extras", f"{extra.what}: how many must be 1 or more, the price 0 or more."
            )


def _replace_extras(session: Session, loom_id: int, extras: Sequence[Extra]) -> None:
    session.execute(delete(QuoteExtra).where(QuoteExtra.loom_id == loom_id))
    session.add_all(QuoteExtra(loom_id=loom_id, **asdict(extra)) for extra in extras)
