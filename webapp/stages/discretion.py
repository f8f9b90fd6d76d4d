"""What people type by hand may name a price or a customer's address: the bench reads it without.

Notes and journals are free text. Figures of money are known by the workshop's currency sign, a
customer's address, telephone and e-mail by what the customer's card says.
"""

import re
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.customers import Customer
from webapp.records.workshop import Workshop

GAP = "…"
EMAIL = re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+")
AMOUNT = r"[-−]?\d(?:[\d.,' \u00a0]*\d)?"
# Shorter lines of an address are names of towns, and stand in many a loom's name.
LEAST_OF_A_LINE = 12
LEAST_DIGITS = 6


@dataclass(frozen=True)
class Discretion:
    """`words` leaves a gap wherever the text names what is not the bench's."""

    money: re.Pattern[str]
    lines: tuple[str, ...]
    phones: tuple[str, ...]

    def words(self, text: str) -> str:
        """The text without figures of money and without customers' addresses."""
        text = EMAIL.sub(GAP, self.money.sub(GAP, text))
        for line in self.lines:
            if line.casefold() in text.casefold():
                text = re.sub(re.escape(line), GAP, text, flags=re.IGNORECASE)
        digits = _digits(text)
        for phone in self.phones:
            if phone in digits:
                text = re.sub(r"\+?" + r"[\s()/.-]*".join(phone), GAP, text)
        return text


def read(session: Session) -> Discretion:
    """What is to be kept quiet, as the customers' cards and the workshop's settings stand."""
    currency = session.scalar(select(Workshop.currency)) or "£"
    sign = "|".join(re.escape(one) for one in dict.fromkeys((currency, "£", "€", "$")))
    money = re.compile(rf"(?:{sign})\s*{AMOUNT}|{AMOUNT}\s*(?:{sign})(?!\w)")
    cards = session.execute(select(Customer.address, Customer.phone)).all()
    lines = {line.strip() for card in cards for line in card.address.splitlines()}
    phones = {_digits(card.phone) for card in cards}
    return Discretion(
        money,
        tuple(sorted(filter(_is_telling, lines), key=len, reverse=True)),
        tuple(sorted(phone for phone in phones if len(phone) >= LEAST_DIGITS)),
    )


def _is_telling(line: str) -> bool:
    return len(line) >= LEAST_OF_A_LINE or (len(line) > 4 and any(c.isdigit() for c in line))


def _digits(text: str) -> str:
    return "".join(c for c in text if c.isascii() and c.isdigit())
