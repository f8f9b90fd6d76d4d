"""What a change to a loom that is being built costs the customer, or gives back."""

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.costing.labour import MOST_UNITS, Work, WorkLine, labour_cost
from webapp.costing.materials import Material, MaterialLine, material_cost
from webapp.costing.price import BuildUp, Rates, ToPay, build_up
from webapp.costing.reasons import Amount, Exact, Reason, together, whole
from webapp.costing.rounding import MOST_MINOR, MOST_PERCENT, share

WHOLE_PERCENT = 100


@dataclass(frozen=True)
class Differing:
    """So many units that would have sold for one price each and now sell for another."""

    what: str
    units: int
    before_minor: int
    after_minor: int


@dataclass(frozen=True)
class DifferingLine:
    """`each_minor` and the amount are negative where the change makes a unit cheaper."""

    differing: Differing
    each_minor: int
    amount: Amount


@dataclass(frozen=True)
class ChangePrice:
    """All of it; what is negative is given back."""

    lines: tuple[DifferingLine, ...]
    works: tuple[WorkLine, ...]
    materials: tuple[MaterialLine, ...]
    labour: Amount
    material: Amount
    again: BuildUp
    pay: ToPay

    @property
    def credit(self) -> bool:
        """The customer gets money back."""
        return self.pay.total.minor < 0


def change_price(
    differing: Sequence[Differing],
    works: Sequence[Work],
    materials: Sequence[Material],
    *,
    rates: Rates,
) -> ChangePrice:
    """What a change is sold for.

    Line  = units × (price after − price before)
    Again = labour and material that was spent already and is spent for nothing, then overhead and
            margin
    Gross = lines + again
    Net   = gross − discount; total = net + VAT. No deposit is asked on a change.

    Args:
        differing: Units by the revision that they are charged for so far. [minor units]
        works: Steps that were done already and have to be done again, or were done for nothing, of
            all units.
        materials: What these steps used up, of all units.
        rates: Labour in minor units per hour, shares in %; set-up, design and deposit are not used.

    Returns:
        Every line and sum, each with its reason; negative where money is given back. [minor units]

    Raises:
        CostError: a figure is negative, no number, or out of range.

    Source: arithmetic; that work done before a change is paid for is common practice.
    """
    lines = tuple(_line(one) for one in differing)
    work_lines = tuple(labour_cost(work, rates.labour_minor_per_hour) for work in works)
    material_lines = tuple(material_cost(material) for material in materials)
    labour = together("Labour spent already, of all units.", (one.cost for one in work_lines))
    material = together("Material used up already, of all units.", (m.cost for m in material_lines))
    cost = together("Spent already, labour and material.", (labour, material))
    again = build_up("Spent already", cost, rates.overhead_percent, rates.margin_percent)
    gross = together("All lines together.", (*(line.amount for line in lines), again.price))
    return ChangePrice(
        lines=lines,
        works=work_lines,
        materials=material_lines,
        labour=labour,
        material=material,
        again=again,
        pay=signed_to_pay(gross, rates),
    )


def _line(one: Differing) -> DifferingLine:
    whole(one.units, "units", least=1, most=MOST_UNITS)
    whole(one.before_minor, "before_minor", most=MOST_MINOR)
    whole(one.after_minor, "after_minor", most=MOST_MINOR)
    each = one.after_minor - one.before_minor
    amount = one.units * each
    reason = Reason(
        f"{one.what}: what one sells for after and before the change, at the same rates.",
        amount,
        "units * (after_minor - before_minor)",
        {
            "units": one.units,
            "after_minor": one.after_minor,
            "before_minor": one.before_minor,
        },
    )
    return DifferingLine(one, each, Amount(amount, reason))


def signed_to_pay(gross: Amount, rates: Rates) -> ToPay:
    """Discount and VAT as in `price.to_pay`, of an amount that may be given back; no deposit.

    A share of a credit is the share of its size, given back: halves away from nought.

    Args:
        gross: All lines together, negative for a credit. [minor units]
        rates: discount and VAT in %; the rest is not used.

    Returns:
        Each step. [minor units]

    Raises:
        CostError: a percentage is negative, no number, or too large.

    Source: arithmetic; the order of discount before VAT is common practice.
    """
    discount = _signed_share(
        "Discount on all lines.", gross.minor, rates.discount_percent, "discount_percent",
        most=WHOLE_PERCENT,
    )  # fmt: skip
    net_minor = gross.minor - discount.minor
    inputs = {"gross_minor": gross.minor, "discount_minor": discount.minor}
    text = "Net, before VAT."
    net = Amount(net_minor, Reason(text, net_minor, "gross_minor - discount_minor", inputs))
    vat = _signed_share(
        "VAT on the net.", net.minor, rates.vat_percent, "vat_percent", most=MOST_PERCENT
    )
    total_minor = net.minor + vat.minor
    inputs = {"net_minor": net.minor, "vat_minor": vat.minor}
    total = Amount(
        total_minor, Reason("Net and VAT.", total_minor, "net_minor + vat_minor", inputs)
    )
    none = Amount(0, Reason("No deposit is asked on a change.", 0, "0"))
    return ToPay(gross, discount, net, vat, total, none)


def _signed_share(text: str, base_minor: int, percent: Exact, field: str, *, most: Exact) -> Amount:
    if base_minor >= 0:
        return share(text, base_minor, percent, field, most=most)
    size = share(text, -base_minor, percent, field, most=most)
    formula = f"0 - round((0 - base_minor) * {field} / 100)"
    inputs = {"base_minor": base_minor, field: percent}
    return Amount(-size.minor, Reason(text, -size.minor, formula, inputs))
