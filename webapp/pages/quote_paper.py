"""The quotation on paper, from a quote's snapshot and nothing else."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from webapp.paper.values import Currency, Head, Quote, QuoteLine, Workshop

PROMISE = (
    "Every unit is tested for continuity, isolation and function, and comes with its certificate."
)
CHANGE_TERMS = (
    "The price is the difference that the change makes to what was ordered; all else stays as "
    "agreed.",
    "Work on the change begins when it is accepted.",
)


def quote_paper(kept: Mapping[str, Any], *, issued: bool) -> Quote:
    """The paper; without `issued` it says that it is a draft.

    Raises:
        ValueError: the figures do not add up.
    """
    pay = kept["pay"]
    vat = Decimal(pay["vat_percent"])
    change = kept.get("change")
    return Quote(
        head=_head(kept, issued),
        number=kept["number"],
        dated=date.fromisoformat(kept["dated"]),
        issued=issued,
        customer=kept["customer"]["name"],
        customer_address=tuple(
            filter(None, (kept["customer"]["contact"], *kept["customer"]["address"].splitlines()))
        ),
        lines=tuple(_line(line) for line in kept["lines"]),
        net_minor=pay["net_minor"],
        total_minor=pay["total_minor"],
        vat_minor=pay["vat_minor"],
        vat_percent=vat if vat else None,
        discount_minor=pay["discount_minor"],
        discount=f"Discount {pay['discount_percent']} %",
        deposit_minor=pay["deposit_minor"],
        deposit=f"Deposit {pay['deposit_percent']} %, with the order",
        rests_on=kept["rests_on"],
        delivery=kept["delivery"],
        valid_until=date.fromisoformat(kept["valid_until"]),
        supplied_by_customer=_said(kept["customer_supplies"]),
        not_included=_said(kept["not_included"]),
        terms=(*CHANGE_TERMS, PROMISE) if change else (PROMISE,),
        currency=Currency(kept["workshop"]["currency"]),
        change=_change_words(change) if change else "",
        changes=tuple(change["sentences"]) if change else (),
    )


def _head(kept: Mapping[str, Any], issued: bool) -> Head:
    workshop, loom = kept["workshop"], kept["loom"]
    return Head(
        workshop=Workshop(
            name=workshop["name"],
            address=tuple(workshop["address"].splitlines()),
            phone=workshop["phone"],
            email=workshop["email"],
            vat_number=workshop["vat_number"],
        ),
        job_code=kept["job"]["number"],
        job=f"{kept['job']['title']}, {loom['name']}, {loom['quantity']} off",
        customer=kept["customer"]["name"],
        short_code=kept["code"],
        qr_text=f"{workshop['address_url']}/c/{kept['code']}" if issued else None,
        revision=kept["design"]["letter"],
    )


def _line(line: Mapping[str, Any]) -> QuoteLine:
    return QuoteLine(
        what=line["what"],
        quantity=str(line["quantity"]),
        each_minor=line["each_minor"],
        amount_minor=line["amount_minor"],
    )


def _change_words(change: Mapping[str, Any]) -> str:
    serials = [unit["serial"] for unit in change["units"]]
    if change["not_begun"]:
        serials.append(f"{change['not_begun']} not begun yet")
    return f"Revision {change['from']} to revision {change['to']}, for {', '.join(serials)}"


def _said(lines: list[str]) -> tuple[str, ...]:
    return tuple(line.strip() for line in lines if line.strip())
