"""What every answer holds besides its figures."""

from collections.abc import Iterable

from pydantic import BaseModel

from webapp.sizing.reasons import Reason


class ReasonAnswer(BaseModel):
    """One step on the way to a figure. `formula` is empty where a value was looked up."""

    text: str
    formula: str
    inputs: dict[str, float]
    source: str
    confirmed: bool


class Answer(BaseModel):
    """Figures with their reasons."""

    reasons: list[ReasonAnswer]


def told(reasons: Iterable[Reason]) -> list[ReasonAnswer]:
    """The reasons as the answer gives them."""
    return [
        ReasonAnswer(
            text=each.text,
            formula=each.formula,
            inputs=dict(each.inputs),
            source=each.source,
            confirmed=each.confirmed,
        )
        for each in reasons
    ]
