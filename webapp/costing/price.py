"""The whole price: what it costs, what is put on top, what the customer pays."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from webapp.costing.labour import MOST_UNITS, Work, WorkLine, labour_cost, spread_cost
from webapp.costing.materials import MOST_PRICE_MINOR, Material, MaterialLine, material_cost
from webapp.costing.reasons import Amount, Exact, Reason, together, whole
from webapp.costing.rounding import MOST_PERCENT, share, to_minor

WHOLE_PERCENT = 100


@dataclass(frozen=True)
class Rates:
    """What a price is made with. Rate in minor units per hour, times in s, shares in %."""

    labour_minor_per_hour: int
    set_up_s: int = 0
    design_s: int = 0
    overhead_percent: Exact = 0
    margin_percent: Exact = 0
    discount_percent: Exact = 0
    vat_percent: Exact = 0
    deposit_percent: Exact = 0


@dataclass(frozen=True)
class Extra:
    """A line sold besides the loom, at the price that it is sold for. [minor units]"""

    what: str
    quantity: int
    each_minor: int


@dataclass(frozen=True)
class ExtraLine:
    extra: Extra
    amount: Amount


@dataclass(frozen=True)
class BuildUp:
    """From cost to selling price."""

    cost: Amount
    overhead: Amount
    margin: Amount
    price: Amount


@dataclass(frozen=True)
class ToPay:
    """From the sum of all lines to what is paid."""

    gross: Amount
    discount: Amount
    net: Amount
    vat: Amount
    total: Amount
    deposit: Amount


@dataclass(frozen=True)
class Price:
    """All of it. `unit` is one loom, `design` is charged once; the rest is for the whole quote."""

    units: int
    materials: tuple[MaterialLine, ...]
    works: tuple[WorkLine, ...]
    material: Amount
    labour: Amount
    set_up: Amount
    unit: BuildUp
    design: BuildUp
    looms: Amount
    extras: tuple[ExtraLine, ...]
    pay: ToPay
    net_per_unit: Amount

    @property
    def unit_seconds(self) -> Decimal:
        """Bench time of one unit, without the set-up. [s]"""
        return sum((line.seconds for line in self.works), Decimal(0))


def build_up(what: str, cost: Amount, overhead_percent: Exact, margin_percent: Exact) -> BuildUp:
    """Overhead and margin on a cost.

    overhead = round(cost × overhead_percent / 100)
    margin   = round((cost + overhead) × margin_percent / 100)
    price    = cost + overhead + margin

    The margin is a mark-up **on cost**, overhead included: 20 % on a cost of 100.00 gives a price
    of 120.00. (It is not a share of the selling price; of that it is 16.7 %.)

    Args:
        what: What is sold, in words.
        cost: Materials and labour. [minor units]
        overhead_percent: On cost, 0 to 1000. [%]
        margin_percent: On cost and overhead, 0 to 1000. [%]

    Returns:
        Each step. [minor units]

    Raises:
        CostError: a percentage is negative, no number, or more than 1000.

    Source: arithmetic; overhead and mark-up on cost are common practice.
    """
    overhead = share(
        f"{what}: overhead on cost.", cost.minor, overhead_percent, "overhead_percent",
        most=MOST_PERCENT,
    )  # fmt: skip
    margin = share(
        f"{what}: margin on cost, overhead included.", cost.minor + overhead.minor,
        margin_percent, "margin_percent", most=MOST_PERCENT,
    )  # fmt: skip
    price = _named_sum(
        f"{what}: cost, overhead and margin.",
        {"cost_minor": cost, "overhead_minor": overhead, "margin_minor": margin},
    )
    return BuildUp(cost, overhead, margin, price)


def price(
    materials: Iterable[Material],
    works: Iterable[Work],
    extras: Sequence[Extra],
    *,
    units: int,
    rates: Rates,
) -> Price:
    """What a batch of one loom is sold for.

    One loom  = materials + labour + its share of the set-up, then overhead and margin.
    Design    = design time, then overhead and margin; charged once.
    Gross     = units × one loom + design + extras (quantity × each)
    Net       = gross − round(gross × discount_percent / 100)
    Total     = net + round(net × vat_percent / 100)
    Deposit   = round(total × deposit_percent / 100)

    Args:
        materials: Of one unit.
        works: Of one unit.
        extras: Further lines of the quote at selling prices: no overhead, margin or scrap on them.
        units: How many looms, 1 or more. [-]
        rates: Labour in minor units per hour, times in s, shares in %; discount and deposit 0 to
            100 %, VAT, overhead and margin 0 to 1000 %.

    Returns:
        Every line and sum, each with its reason. [minor units]

    Raises:
        CostError: a figure is negative, no number, or out of range.

    Source: arithmetic; the order of discount before VAT is common practice.
    """
    whole(units, "units", least=1, most=MOST_UNITS)
    material_lines = tuple(material_cost(material) for material in materials)
    work_lines = tuple(labour_cost(work, rates.labour_minor_per_hour) for work in works)
    material = together("Materials of one unit, scrap included.", (m.cost for m in material_lines))
    labour = together("Labour of one unit.", (work.cost for work in work_lines))
    set_up = spread_cost(
        "Set-up of the batch, spread over its units.", rates.set_up_s,
        rates.labour_minor_per_hour, units,
    )  # fmt: skip
    cost = _named_sum(
        "Cost of one unit.",
        {"material_minor": material, "labour_minor": labour, "set_up_minor": set_up},
    )
    unit = build_up("One loom", cost, rates.overhead_percent, rates.margin_percent)
    design_time = spread_cost(
        "Survey, design and drawings, once.", rates.design_s, rates.labour_minor_per_hour, 1
    )
    design = build_up("Design", design_time, rates.overhead_percent, rates.margin_percent)
    looms = _times("Looms, built and tested.", units, unit.price.minor)
    extra_lines = tuple(_extra_line(extra) for extra in extras)
    gross = together("All lines together.", (design.price, looms, *(e.amount for e in extra_lines)))
    pay = to_pay(gross, rates)
    return Price(
        units=units,
        materials=material_lines,
        works=work_lines,
        material=material,
        labour=labour,
        set_up=set_up,
        unit=unit,
        design=design,
        looms=looms,
        extras=extra_lines,
        pay=pay,
        net_per_unit=_per_unit(pay.net.minor, units),
    )


def to_pay(gross: Amount, rates: Rates) -> ToPay:
    """Discount, VAT and deposit, in that order; see `price`.

    Args:
        gross: All lines together. [minor units]
        rates: discount, VAT and deposit in %; the rest is not used.

    Returns:
        Each step. [minor units]

    Raises:
        CostError: a percentage is negative, no number, or too large.

    Source: arithmetic; the order of discount before VAT is common practice.
    """
    discount = share(
        "Discount on all lines.", gross.minor, rates.discount_percent, "discount_percent",
        most=WHOLE_PERCENT,
    )  # fmt: skip
    net_minor = gross.minor - discount.minor
    inputs = {"gross_minor": gross.minor, "discount_minor": discount.minor}
    net = Amount(
        net_minor, Reason("Net, before VAT.", net_minor, "gross_minor - discount_minor", inputs)
    )
    vat = share("VAT on the net.", net.minor, rates.vat_percent, "vat_percent", most=MOST_PERCENT)
    total = _named_sum("Net and VAT.", {"net_minor": net, "vat_minor": vat})
    deposit = share(
        "Deposit on the total, VAT included.", total.minor, rates.deposit_percent,
        "deposit_percent", most=WHOLE_PERCENT,
    )  # fmt: skip
    return ToPay(gross, discount, net, vat, total, deposit)


def _per_unit(net_minor: int, units: int) -> Amount:
    minor = to_minor(net_minor, units)
    text = "Net for one unit, with its share of design and extras; for comparison only."
    inputs = {"net_minor": net_minor, "units": units}
    return Amount(minor, Reason(text, minor, "round(net_minor / units)", inputs))


def _extra_line(extra: Extra) -> ExtraLine:
    whole(extra.quantity, "quantity", least=1, most=MOST_UNITS)
    whole(extra.each_minor, "each_minor", most=MOST_PRICE_MINOR)
    return ExtraLine(extra, _times(f"{extra.what}.", extra.quantity, extra.each_minor))


def _times(text: str, quantity: int, each_minor: int) -> Amount:
    minor = to_minor(quantity * each_minor)
    inputs = {"quantity": quantity, "each_minor": each_minor}
    return Amount(minor, Reason(text, minor, "quantity * each_minor", inputs))


def _named_sum(text: str, parts: dict[str, Amount]) -> Amount:
    inputs = {name: amount.minor for name, amount in parts.items()}
    total = sum(inputs.values())
    return Amount(total, Reason(text, total, " + ".join(inputs), inputs))
