"""The quotation."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from .common import Head


@dataclass(frozen=True)
class Currency:
    """symbol stands before the figure; digits is the number of decimal places of the minor unit."""

    symbol: str = "£"
    digits: int = 2

    def plain(self, minor: int) -> str:
        """The figure without its symbol: 123456 -> "1,234.56"."""
        if not self.digits:
            return f"{minor:,}"
        whole, part = divmod(abs(minor), 10**self.digits)
        return f"{'-' if minor < 0 else ''}{whole:,}.{part:0{self.digits}}"

    def words(self, minor: int) -> str:
        """The figure with its symbol: 123456 -> "£1,234.56"."""
        sign = "-" if minor < 0 else ""
        return f"{sign}{self.symbol}{self.plain(abs(minor))}"


POUNDS = Currency()


@dataclass(frozen=True)
class QuoteLine:
    """One line; each_minor None leaves the cell empty (a lump sum)."""

    what: str
    quantity: str
    amount_minor: int
    each_minor: int | None = None
    detail: str = ""


@dataclass(frozen=True)
class Quote:
    """A quotation. All money is in integer minor units.

    A change that makes the loom cheaper has a negative total: a credit.
    net_minor is after the discount and before VAT; vat_percent None means that no VAT is charged.
    Raises ValueError when the figures do not add up: a customer must never hold such a paper.
    """

    head: Head
    number: str
    dated: date
    issued: bool
    customer: str
    lines: tuple[QuoteLine, ...]
    net_minor: int
    total_minor: int
    vat_minor: int = 0
    vat_percent: Decimal | None = None
    discount_minor: int = 0
    discount: str = "Discount"
    deposit_minor: int = 0
    deposit: str = "Deposit, with the order"
    customer_address: tuple[str, ...] = ()
    rests_on: str = ""
    delivery: str = ""
    valid_until: date | None = None
    opening: str = ""
    supplied_by_customer: tuple[str, ...] = ()
    not_included: tuple[str, ...] = ()
    terms: tuple[str, ...] = ()
    currency: Currency = POUNDS
    # For a change to what was ordered: from what to what, and what changes, a sentence each.
    change: str = ""
    changes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.gross_minor != self.net_minor + self.discount_minor:
            raise ValueError("The lines of the quote do not add up to its net amount.")
        if self.total_minor != self.net_minor + self.vat_minor:
            raise ValueError("Net and VAT of the quote do not add up to its total.")

    @property
    def gross_minor(self) -> int:
        """Sum of the lines, before the discount."""
        return sum(line.amount_minor for line in self.lines)
