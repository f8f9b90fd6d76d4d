"""What stands between a price and the customer: plain sentences, each with where to mend it."""

from dataclasses import dataclass

from webapp.stages.pricing import Priced


@dataclass(frozen=True)
class Check:
    """`page` is the loom's page, or a path, to mend it; `stops` keeps the quote from going out."""

    sentence: str
    page: str
    stops: bool


def checks(priced: Priced) -> tuple[Check, ...]:
    """What stops the quote, and what to look at before it goes."""
    found = [*_nothing_to_price(priced), *_terms_checks(priced)]
    found += [Check(lack.sentence, lack.page, lack.stops) for lack in priced.missing]
    found += _price_notes(priced)
    return tuple(sorted(found, key=lambda check: not check.stops))


def stopping(priced: Priced) -> tuple[Check, ...]:
    return tuple(check for check in checks(priced) if check.stops)


def _nothing_to_price(priced: Priced) -> list[Check]:
    found = []
    if priced.problem:
        found.append(Check(priced.problem, "/rates", True))
    if not priced.parts.wire_count:
        if not priced.design.need:
            sentence = "There are no needs and no wires: enter what the loom has to do."
            found.append(Check(sentence, "needs", True))
        else:
            sentence = "There are no wires to price: propose the loom from its needs, or type it."
            found.append(Check(sentence, "needs", True))
    elif not priced.design.need:
        sentence = "There is no need list: see that the quote says what it rests on."
        found.append(Check(sentence, "price", False))
    return found


def _terms_checks(priced: Priced) -> list[Check]:
    found = []
    if not priced.terms.texts.rests_on.strip():
        found.append(Check("The quote does not say what it rests on.", "price", False))
    if priced.price is not None and not priced.price.pay.total.minor:
        found.append(
            Check("The total is nothing: look at the rates and the stores.", "price", True)
        )
    return found


def _price_notes(priced: Priced) -> list[Check]:
    invented = [use for use in priced.parts.parts if use.invented]
    if not invented:
        return []
    count = len({use.part.uid for use in invented})
    parts = "One part has" if count == 1 else f"{count} parts have"
    sentence = f"{parts} an invented price: put the workshop's own into the stores."
    return [Check(sentence, "parts", False)]
