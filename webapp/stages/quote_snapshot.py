"""A quote as plain values, whole: what the customer reads, how the price came about, the design.

Papers are made from it alone, so that what was issued can be printed again as it was.
"""

from collections.abc import Iterable
from dataclasses import asdict
from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from webapp.costing.price import BuildUp, Price
from webapp.costing.reasons import Amount, plain
from webapp.stages import customers, workshop
from webapp.stages.design.frozen import frozen_wires
from webapp.stages.design.rows import ROW_TYPES, Design, row_values
from webapp.stages.design.wires import wires
from webapp.stages.pricing import Priced

LETTERHEAD = ("name", "address", "phone", "email", "vat_number", "currency", "address_url")


def snapshot(
    session: Session,
    priced: Priced,
    *,
    number: str,
    code: str,
    dated: date,
    valid_until: date,
    key: str = "",
) -> dict[str, Any]:
    """Everything about a quote that has a price. `key` is the form's, to know a second sending."""
    assert priced.price is not None
    head = asdict(workshop.get(session))
    customer = customers.get(session, priced.job.values.customer_id).values
    texts = priced.terms.texts
    return {
        "key": key,
        "number": number,
        "code": code,
        "dated": dated.isoformat(),
        "valid_until": valid_until.isoformat(),
        "workshop": {name: head[name] for name in LETTERHEAD},
        "customer": {
            "name": customer.name,
            "contact": customer.contact,
            "address": customer.address,
        },
        "job": {"number": priced.job.number, "title": priced.job.values.title},
        "loom": {"name": priced.loom.name, "quantity": priced.loom.quantity},
        "lines": customer_lines(priced),
        "pay": _pay(priced, priced.price),
        "delivery": texts.delivery,
        "rests_on": texts.rests_on,
        "customer_supplies": texts.customer_supplies.splitlines(),
        "not_included": texts.not_included.splitlines(),
        "build_up": _build_up(priced.price),
        "missing": [lack.sentence for lack in priced.missing],
        "design": _design(priced),
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


def _pay(priced: Priced, price: Price) -> dict[str, Any]:
    pay = price.pay
    return {
        **{
            f"{name}_minor": getattr(pay, name).minor
            for name in ("gross", "discount", "net", "vat", "total", "deposit")
        },
        **{
            f"{name}_percent": plain(getattr(priced.terms, f"{name}_percent"))
            for name in ("discount", "vat", "deposit")
        },
    }


def _build_up(price: Price) -> dict[str, Any]:
    """Never on the customer's paper."""
    return {
        "materials": [
            {
                "what": line.material.what,
                "quantity": plain(line.material.quantity),
                "unit": line.material.unit,
                **_figure(line.cost),
            }
            for line in price.materials
        ],
        "works": [
            {
                "code": line.work.code,
                "what": line.work.title,
                "count": plain(line.work.count),
                "seconds": plain(line.seconds),
                **_figure(line.cost),
            }
            for line in price.works
        ],
        "material": _figure(price.material),
        "labour": _figure(price.labour),
        "set_up": _figure(price.set_up),
        "unit": _block(price.unit),
        "design": _block(price.design),
        "looms": _figure(price.looms),
        "extras": [_figure(line.amount) for line in price.extras],
        "net_per_unit": _figure(price.net_per_unit),
        **{
            name: _figure(getattr(price.pay, name))
            for name in ("gross", "discount", "net", "vat", "total", "deposit")
        },
    }


def _figure(amount: Amount) -> dict[str, Any]:
    return {"minor": amount.minor, "reason": amount.reason.as_dict()}


def _block(block: BuildUp) -> dict[str, Any]:
    return {name: _figure(getattr(block, name)) for name in ("cost", "overhead", "margin", "price")}


def _design(priced: Priced) -> dict[str, Any]:
    design = priced.design
    return {
        "revision_id": priced.revision.id,
        "number": priced.revision.number,
        "letter": priced.revision.letter,
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


def _rows(design: Design, table: str) -> list[dict[str, Any]]:
    found: Iterable[Any] = design.table(table).values()
    return [row_values(row) for row in found]
