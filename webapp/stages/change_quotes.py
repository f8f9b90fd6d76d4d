"""A change asked for while the loom is built: what it costs or gives back, as a quote of its own.

Each unit is charged from the revision that its customer has agreed to for it so far, which may be
newer than the one it is built to yet. Both prices are at today's rates, so that only the design
makes the difference; what was done already and is undone is paid for as well.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from sqlalchemy.orm import Session

from webapp.costing.change import ChangePrice, Differing, change_price
from webapp.costing.reasons import CostError
from webapp.stages import catalogue, looms, pricing, quotes, rates, rework
from webapp.stages.building import bench, units
from webapp.stages.building.superseding import undone_steps
from webapp.stages.building.units import UnitRow
from webapp.stages.catalogue import Catalogue
from webapp.stages.design import change_gate, change_words, revisions, rows
from webapp.stages.design.comparing import Comparison, compare, fingerprint
from webapp.stages.design.revisions import RevisionState
from webapp.stages.pricing import Priced
from webapp.stages.quote_gate import stopping
from webapp.stages.quote_snapshot import (
    SUMS,
    QuoteHead,
    block,
    design_as_priced,
    figure,
    letterhead,
    spent_lines,
    to_pay,
)
from webapp.stages.refusals import Refused
from webapp.stages.revision_changes import UnitUndone, undone_ticks
from webapp.stages.rework import Spent

# From, to, and the units that it was agreed for; None for one at no charge.
AgreedStep = tuple[RevisionState, RevisionState, set[int] | None]
NOT_INCLUDED = ("Anything that is not listed in this quotation",)


@dataclass(frozen=True)
class Concerned:
    """A unit that is begun, the revision that it is charged for so far, and whether it is in."""

    undone: UnitUndone
    base: RevisionState
    chosen: bool

    @property
    def unit(self) -> UnitRow:
        return self.undone.unit


@dataclass(frozen=True)
class Change:
    """A change with its price; `price` is None where `problem` says why."""

    before: RevisionState
    after: RevisionState
    comparison: Comparison
    sentences: tuple[str, ...]
    design: str
    units: tuple[Concerned, ...]
    not_begun: int
    priced: Priced
    price: ChangePrice | None
    problem: str

    @property
    def quantity(self) -> int:
        """How many units it concerns."""
        return self.not_begun + sum(1 for one in self.units if one.chosen)


def read(session: Session, loom_id: int, chosen: Collection[int] | None = None) -> Change:
    """The change from the last signed-off revision to the draft that follows it, priced.

    Args:
        chosen: The ids of the begun units that it concerns; None for those at build. A unit that is
            not begun is built to the latest revision in any case.

    Raises:
        NotThere: no such loom.
        Refused: nothing is signed off, or no draft follows it.
    """
    loom = looms.get(session, loom_id)
    before, after = change_gate.draft_after_sign_off(session, loom_id)
    kept = catalogue.read(session)
    old, new = rows.load(session, before.id), rows.load(session, after.id)
    comparison = compare(old, new, kept.parts)
    concerned = tuple(_concerned(session, loom_id, after, chosen))
    priced = pricing.read(session, loom_id, after)
    not_begun = max(0, loom.quantity - len(concerned))
    price, problem = _price(session, kept, priced, before, concerned, not_begun)
    return Change(
        before=before,
        after=after,
        comparison=comparison,
        sentences=change_words.sentences(comparison, old, new),
        design=fingerprint(new),
        units=concerned,
        not_begun=not_begun,
        priced=priced,
        price=price,
        problem=problem,
    )


def _concerned(
    session: Session, loom_id: int, after: RevisionState, chosen: Collection[int] | None
) -> Iterator[Concerned]:
    every = {one.id: one for one in revisions.of_loom(session, loom_id)}
    steps = _agreed_steps(session, loom_id, every)
    for undone in undone_ticks(session, loom_id, after):
        unit = undone.unit
        base = _base(unit, every[unit.revision_id], steps)
        wanted = unit.stage == "build" if chosen is None else unit.id in chosen
        yield Concerned(undone, base, wanted)


def agreed_to(session: Session, unit: UnitRow) -> RevisionState:
    """The newest revision that was agreed for a unit; the one that it is built to at the least."""
    every = {one.id: one for one in revisions.of_loom(session, unit.loom_id)}
    steps = _agreed_steps(session, unit.loom_id, every)
    return _base(unit, every[unit.revision_id], steps)


def _base(unit: UnitRow, base: RevisionState, steps: Sequence[AgreedStep]) -> RevisionState:
    for start, end, unit_ids in steps:
        held = base.id == start.id if unit_ids is None else unit.id in unit_ids
        if held and end.number > base.number:
            base = end
    return base


def _agreed_steps(
    session: Session, loom_id: int, every: dict[int, RevisionState]
) -> list[AgreedStep]:
    """Changes that went to the bench, in order: from, to, and the units that paid for it.

    One at no charge names no units: it takes along whoever had paid for the revision before.
    """
    found: list[AgreedStep] = []
    for quote in quotes.of_loom(session, loom_id):
        if quote.change_from_id and quote.design_revision_id and quote.state == quotes.ACCEPTED:
            unit_ids = set(quotes.as_issued(session, quote.id)["change"]["unit_ids"])
            start, end = every[quote.change_from_id], every[quote.design_revision_id]
            found.append((start, end, unit_ids))
    for mark in change_gate.no_charge_marks(session, loom_id):
        found.append((every[mark["from_id"]], every[mark["revision_id"]], None))
    signed = [one for one in found if one[1].signed_off]
    return sorted(signed, key=lambda one: one[1].number)


def _price(
    session: Session,
    kept: Catalogue,
    priced: Priced,
    before: RevisionState,
    concerned: tuple[Concerned, ...],
    not_begun: int,
) -> tuple[ChangePrice | None, str]:
    counted = _counted(before, concerned, not_begun)
    if not counted:
        return None, "Choose at least one unit that the change is for."
    stops = stopping(priced)
    if stops or priced.price is None:
        return None, priced.problem or " ".join(check.sentence for check in stops)
    differing = []
    for base, count in counted:
        was = pricing.read(session, priced.loom.id, base)
        if was.price is None:
            return None, was.problem
        name = f"{priced.loom.name[:1].upper()}{priced.loom.name[1:]}"
        what = f"{name} to revision {priced.revision.letter} instead of {base.letter}"
        prices = was.price.unit.price.minor, priced.price.unit.price.minor
        differing.append(Differing(what, count, *prices))
    spent = [_spent(session, kept, one) for one in concerned if one.chosen]
    standing = rates.values(session)
    scrap_percent = Decimal(0)  # it was used already, without what else went wrong
    try:
        return change_price(
            differing,
            rework.works(spent, rates.operations(session)),
            [pricing.material(use, scrap_percent) for use in rework.uses(spent)],
            rates=pricing.costing_rates(priced.terms, standing),
        ), ""
    except CostError as error:
        return None, f"No price can be made: {error.message} Look at the rates and the stores."


def _counted(
    before: RevisionState, concerned: tuple[Concerned, ...], not_begun: int
) -> list[tuple[RevisionState, int]]:
    """How many units are charged from each revision."""
    counts = {before: not_begun} if not_begun else {}
    for one in concerned:
        if one.chosen:
            counts[one.base] = counts.get(one.base, 0) + 1
    return sorted(counts.items(), key=lambda pair: pair[0].number)


def _spent(session: Session, kept: Catalogue, one: Concerned) -> Spent:
    """What the undone ticks of a unit had taken, but for what an agreed change paid for already."""
    unit = one.unit
    paid: set[str] = set()
    if one.base.id != unit.revision_id:
        states = {uid: now.state for uid, now in bench.state(session, unit.id).items()}
        agreed = units.plan_at(session, one.base.id, unit.depth)
        earlier = undone_steps(units.plan_of(session, unit), agreed, states)
        paid = {undone.step.uid for undone in earlier}
    undone = (tick.undone for tick in one.undone.ticks)
    return rework.spent(
        rows.load(session, unit.revision_id),
        kept,
        [each for each in undone if each.step.uid not in paid],
    )


# --- issue ----------------------------------------------------------------------------------------


def issue(
    session: Session,
    loom_id: int,
    *,
    chosen: Collection[int],
    key: str,
    seen_minor: int,
    seen_design: str,
    person_id: int,
) -> int:
    """Issues the change as a quote of its own; the same key again is the same quote.

    Args:
        chosen: The ids of the begun units that it concerns.
        key: The form's own key.
        seen_minor: The total that the person saw, negative for a credit.
        seen_design: The fingerprint of the design that the person saw.

    Returns:
        The quote's id.

    Raises:
        NotThere: no such loom.
        Refused: there is nothing to price, or it is no longer what was seen.
    """
    there = quotes.with_key(session, loom_id, key)
    if there is not None:
        return there
    change = read(session, loom_id, chosen)
    if change.price is None:
        raise Refused("", change.problem)
    if change.comparison.empty:
        raise Refused("", "Nothing differs from what is signed off: there is nothing to price.")
    total_minor = change.price.pay.total.minor
    if (total_minor, change.design) != (seen_minor, seen_design):
        raise Refused("", quotes.LOOK_AGAIN)
    head = quotes.new_head(session, change.priced, key)
    return quotes.enter(
        session,
        change.priced,
        head,
        snapshot(session, change, change.price, head),
        total_minor=total_minor,
        person_id=person_id,
        change_from_id=change.before.id,
    )


def snapshot(
    session: Session, change: Change, price: ChangePrice, head: QuoteHead
) -> dict[str, Any]:
    """Everything about a change quote, as plain values."""
    priced = change.priced
    chosen = [one for one in change.units if one.chosen]
    rests_on = (
        f"revision {change.before.letter} as signed off, changed to revision {change.after.letter}"
    )
    return letterhead(session, priced, head) | {
        "lines": customer_lines(price),
        "pay": to_pay(priced.terms, price.pay) | {"deposit_percent": 0},
        "delivery": priced.terms.texts.delivery,
        "rests_on": rests_on,
        "customer_supplies": [],
        "not_included": list(NOT_INCLUDED),
        "build_up": _build_up(price),
        "missing": [lack.sentence for lack in priced.missing],
        "design": design_as_priced(priced),
        "change": {
            "from": change.before.letter,
            "to": change.after.letter,
            "design": change.design,
            "quantity": change.quantity,
            "not_begun": change.not_begun,
            "unit_ids": [one.unit.id for one in chosen],
            "units": [
                {
                    "serial": one.unit.serial,
                    "stage": one.unit.stage,
                    "from": one.base.letter,
                    "ticks": len(one.undone.ticks),
                }
                for one in chosen
            ],
            "sentences": list(change.sentences),
        },
    }


def customer_lines(price: ChangePrice) -> list[dict[str, Any]]:
    """What the customer reads: the difference for each unit, and work that is spent."""
    lines = [
        {
            "what": line.differing.what,
            "quantity": line.differing.units,
            "each_minor": line.each_minor,
            "amount_minor": line.amount.minor,
        }
        for line in price.lines
    ]
    again = price.again.price.minor
    if again:
        lines.append(
            {
                "what": "Work done and material used before the change, which it undoes",
                "quantity": 1,
                "each_minor": again,
                "amount_minor": again,
            }
        )
    return lines


def _build_up(price: ChangePrice) -> dict[str, Any]:
    """Never on the customer's paper."""
    return {
        "lines": [{"what": line.differing.what, **figure(line.amount)} for line in price.lines],
        **spent_lines(price.materials, price.works),
        "material": figure(price.material),
        "labour": figure(price.labour),
        "again": block(price.again),
        **{name: figure(getattr(price.pay, name)) for name in SUMS},
    }
