"""An amount's reason in words: the formula with plain names, and what stands in it."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from webapp.pages.wording import money, short

NAME = re.compile(r"[a-z][a-z0-9_]*")
SIGNS = {"*": "×", "/": "÷"}


@dataclass(frozen=True)
class Working:
    """`inputs` are pairs of a name in the formula and its value as a person writes it."""

    text: str
    formula: str
    inputs: tuple[tuple[str, str], ...]
    source: str


def working(reason: Mapping[str, Any], currency: str) -> Working:
    """From a reason as plain values (Reason.as_dict), computed afresh or frozen in a quote."""
    if len(reason["inputs"]) > 1 and all(name.startswith("line_") for name in reason["inputs"]):
        # Twenty-five names would explain nothing: the lines stand beside it.
        count = len(reason["inputs"])
        return Working(reason["text"], f"the sum of the {count} lines", (), reason["source"])
    formula = NAME.sub(lambda match: plain_name(match.group()), reason["formula"])
    for sign, written in SIGNS.items():
        formula = formula.replace(sign, written)
    inputs = tuple(
        (plain_name(name), _value(name, value, currency))
        for name, value in reason["inputs"].items()
    )
    return Working(reason["text"], formula, inputs, reason["source"])


def plain_name(name: str) -> str:
    """rate_minor_per_hour -> rate per hour; vat_percent -> vat %."""
    words = [word for word in name.split("_") if word != "minor"]
    return " ".join(words).replace("percent", "%")


def _value(name: str, value: int | str, currency: str) -> str:
    if "minor" in name.split("_"):
        return money(int(value), currency)
    return short(Decimal(value), 6)
