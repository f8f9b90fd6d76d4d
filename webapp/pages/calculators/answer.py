"""What a calculator shows, and what it is."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from sqlalchemy.orm import Session

from webapp.pages.forms import Form
from webapp.sizing.reasons import Reason

FIRE = (
    "An aid, no licence.",
    "Undersized wire starts fires. Local codes and a competent person decide.",
)


@dataclass(frozen=True)
class Figure:
    """One figure of a result. `note` says what it is beside; `bad` that it does not do."""

    name: str
    value: str
    note: str = ""
    bad: bool = False


@dataclass(frozen=True)
class Table:
    """Rows of text under their heads."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Answer:
    """A result: the sentence that matters, its figures, findings, drawings and reasons."""

    says: str
    figures: Sequence[Figure]
    reasons: Sequence[Reason]
    findings: Sequence[str] = ()
    drawings: Sequence[str] = ()
    table: Table | None = None


@dataclass(frozen=True)
class Calculator:
    """One calculator.

    work: reads its form and gives the answer, or None with the form's errors.
    refused: the form's field for what the sizing refuses under another name.
    caution: how the work can hurt, in bold and in words; empty where it cannot.
    """

    slug: str
    title: str
    about: str
    defaults: Mapping[str, str]
    work: Callable[[Form, Session], Answer | None]
    choices: Mapping[str, Sequence[tuple[str, str]]] = field(default_factory=dict)
    refused: Mapping[str, str] = field(default_factory=dict)
    caution: tuple[str, str] | None = None


def about(value: float, figures: int = 3) -> str:
    """A figure to so many digits, without an exponent: 12.3, 1,250, 0.0045."""
    if value == 0:
        return "0"
    text = f"{value:.{figures}g}"
    return f"{float(text):,.10f}".rstrip("0").rstrip(".").replace("-", "−")
