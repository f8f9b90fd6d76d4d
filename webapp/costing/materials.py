"""What the parts of one unit cost."""

from dataclasses import dataclass
from decimal import Decimal

from webapp.costing.reasons import Amount, Exact, Reason, exact, whole
from webapp.costing.rounding import EXACTLY, MOST_PERCENT, to_minor

MOST_QUANTITY = 1_000_000
MOST_PRICE_MINOR = 10**10
MOST_PER = 1_000_000


@dataclass(frozen=True)
class Material:
    """So much of one part in one unit.

    `quantity` is in `unit` ("m" or "each"); `price_minor` is the price of `price_per` of them
    [minor units]; `scrap_percent` is what is wasted on top. `source` says where the price is from.
    """

    what: str
    quantity: Exact
    unit: str
    price_minor: int
    price_per: int = 1
    scrap_percent: Exact = 0
    source: str = ""


@dataclass(frozen=True)
class MaterialLine:
    material: Material
    cost: Amount


def material_cost(material: Material) -> MaterialLine:
    """What one line of parts costs in one unit, scrap included.

    cost = round(quantity × (100 + scrap_percent) / 100 × price / price_per)

    Args:
        material: quantity in its unit (m or pieces), price in minor units per `price_per`, scrap
            in %.

    Returns:
        The line with its cost, rounded to the minor unit, halves up. [minor units]

    Raises:
        CostError: a figure is negative, no number, or out of range.

    Source: arithmetic; scrap on top of what is used is common practice.

    >>> material_cost(Material("cable", 12, "m", 3925, 100, 8)).cost.minor
    509
    """
    exact(material.quantity, "quantity", most=MOST_QUANTITY)
    whole(material.price_minor, "price_minor", most=MOST_PRICE_MINOR)
    whole(material.price_per, "price_per", least=1, most=MOST_PER)
    exact(material.scrap_percent, "scrap_percent", most=MOST_PERCENT)
    used = EXACTLY.multiply(Decimal(material.quantity), Decimal(100 + material.scrap_percent))
    minor = to_minor(
        EXACTLY.multiply(used, Decimal(material.price_minor)), 100 * material.price_per
    )
    reason = Reason(
        f"{material.what}: quantity in {material.unit}, scrap on top, at the price of the stores.",
        minor,
        "round(quantity * (100 + scrap_percent) * price_minor / (100 * price_per))",
        {
            "quantity": material.quantity,
            "scrap_percent": material.scrap_percent,
            "price_minor": material.price_minor,
            "price_per": material.price_per,
        },
        material.source or "price in the stores",
    )
    return MaterialLine(material, Amount(minor, reason))
