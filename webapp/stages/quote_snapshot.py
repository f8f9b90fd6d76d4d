"""A quote as plain values, whole: what the customer reads, how the price came about, the design.

Papers are made from it alone, so that what was issued can be printed again as it was.
"""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from webapp.costing.labour import WorkLine
from webapp.costing.materials import MaterialLine
from webapp.costing.price import BuildUp, Price, ToPay
from webapp.costing.reasons import Amount, plain
from webapp.stages import customers, workshop
from webapp.stages.design.frozen import frozen_wires
from webapp.stages.design.rows import ROW_TYPES, Design, row_values
from webapp.stages.design.wires import wires
from webapp.stages.pricing import Priced, Terms

SUMS = ("gross", "discount", "net", "vat", "total", "deposit")
LETTERHEAD = ("name", "address", "phone", "email", "vat_number", "currency", "address_url")


@dataclass(frozen=True)
class QuoteHead:
    """What one quote is known by. `key` is the form's, to know a second sending."""

    number: str
    code: str
    dated: date
    valid_until: date
    key: str = ""


def snapshot(session: Session, priced: Priced, head: QuoteHead) -> dict[str, Any]:
    """Everything about a quote that has a price."""
    return draft(session, priced, head) | {"design": design_as_priced(priced)}


def draft(session: Session, priced: Priced, head: QuoteHead) -> dict[str, Any]:
    """What a quote says: of the design it only names the revision."""
    assert priced.price is not None
    texts = priced.terms.texts
    return letterhead(session, priced, head) | {
        "lines": customer_lines(priced),
        "pay": to_pay(priced.terms, priced.price.pay),
        "delivery": texts.delivery,
        "rests_on": texts.rests_on,
        "customer_supplies": texts.customer_supplies.splitlines(),
        "not_included": texts.not_included.splitlines(),
        "build_up": _build_up(priced.price),
        "missing": [lack.sentence for lack in priced.missing],
        "design": _revision(priced),
    }


def letterhead(session: Session, priced: Priced, head: QuoteHead) -> dict[str, Any]:
    """By whom, for whom, about what."""
    own = asdict(workshop.get(session))
    customer = customers.get(session, priced.job.values.customer_id).values
    return {
        "key": head.key,
        "number": head.number,
        "code": head.code,
        "dated": head.dated.isoformat(),
        "valid_until": head.valid_until.isoformat(),
        "workshop": {name: own[name] for name in LETTERHEAD},
        "customer": {
            "name": customer.name,
            "contact": customer.contact,
            "address": customer.address,
        },
        "job": {"number": priced.job.number, "title": priced.job.values.title},
        "loom": {"name": priced.loom.name, "quantity": priced.loom.quantity},
    }


def customer_lines(priced: Priced) -> list[dict[str, Any]]:
    """What the customer reads: what is bought, not what it costs to make."""
    price = priced.price
    assert price is not None
    design, name = price.design.price.minor, priced.loom.name
    looms = f"{name[:1].upper()}{name[1:]}, built and tested"
    lines = [("Survey, design and drawings", 1, design, design)] if design else []
    lines.append((looms, price.units, price.unit.price.minor, price.looms.minor))
    lines += [
        (line.extra.what, line.extra.quantity, line.extra.each_minor, line.amount.minor)
        for line in price.extras
    ]
    names = ("what", "quantity", "each_minor", "amount_minor")
    return [dict(zip(names, line, strict=True)) for line in lines]


def to_pay(terms: Terms, pay: ToPay) -> dict[str, Any]:
    return {
        **{f"{name}_minor": getattr(pay, name).minor for name in SUMS},
        **{
            f"{name}_percent": plain(getattr(terms, f"{name}_percent"))
            for name in ("discount", "vat", "deposit")
        },
    }


def _build_up(price: Price) -> dict[str, Any]:
    """Never on the customer's paper."""
    return {
        **spent_lines(price.materials, price.works),
        "material": figure(price.material),
        "labour": figure(price.labour),
        "set_up": figure(price.set_up),
        "unit": block(price.unit),
        "design": block(price.design),
        "looms": figure(price.looms),
        "extras": [figure(line.amount) for line in price.extras],
        "net_per_unit": figure(price.net_per_unit),
        **{name: figure(getattr(price.pay, name)) for name in SUMS},
    }


def spent_lines(materials: Iterable[MaterialLine], works: Iterable[WorkLine]) -> dict[str, Any]:
    """Materials and works, a line each, with their reasons."""
    return {
        "materials": [
            {
                "what": line.material.what,
                "quantity": plain(line.material.quantity),
                "unit": line.material.unit,
                **figure(line.cost),
            }
            for line in materials
        ],
        "works": [
            {
                "code": line.work.code,
                "what": line.work.title,
                "count": plain(line.work.count),
                "seconds": plain(line.seconds),
                **figure(line.cost),
            }
            for line in works
        ],
    }


def figure(amount: Amount) -> dict[str, Any]:
    return {"minor": amount.minor, "reason": amount.reason.as_dict()}


def block(built: BuildUp) -> dict[str, Any]:
    return {name: figure(getattr(built, name)) for name in ("cost", "overhead", "margin", "price")}


def design_as_priced(priced: Priced) -> dict[str, Any]:
    design = priced.design
    return _revision(priced) | {
        "rows": {table: _rows(design, table) for table in ROW_TYPES},
        "wires": [
            {
                "number": wire.number,
                "csa_mm2": wire.link.csa_mm2,
                "main": wire.link.main,
                "tracer": wire.link.tracer,
                "cable_part_uid": wire.link.cable_part_uid,
                "length_mm": wire.length_mm,
            }
            for wire in wires(design)
        ],
        "figures": frozen_wires(design),
    }


def _revision(priced: Priced) -> dict[str, Any]:
    return {
        "revision_id": priced.revision.id,
        "number": priced.revision.number,
        "letter": priced.revision.letter,
    }


def _rows(design: Design, table: str) -> list[dict[str, Any]]:
    found: Iterable[Any] = design.table(table).values()
    return [row_values(row) for row in found]
