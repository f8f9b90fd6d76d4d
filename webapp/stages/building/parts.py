"""What work steps and tests ask of the catalogue's parts."""

from collections.abc import Mapping

from webapp.stages.catalogue import CatalogPart

Parts = Mapping[str, CatalogPart]


def part(parts: Parts, uid: str | None) -> CatalogPart | None:
    """The part, or None where the design names none."""
    return parts.get(uid) if uid else None


def number(found: CatalogPart | None, fact: str) -> float | None:
    """A fact that is a number, or None where it is not known."""
    value = found.facts.get(fact) if found else None
    known = isinstance(value, int | float) and not isinstance(value, bool)
    return float(value) if known else None  # type: ignore[arg-type]


def has_seal(terminal: CatalogPart | None) -> bool:
    """Whether a seal goes on the wire with the terminal."""
    return says_yes(terminal, "seal") or number(terminal, "seal_max_mm") is not None


def says_yes(found: CatalogPart | None, fact: str) -> bool:
    """A fact that is yes or no; one that is not known is no."""
    return found is not None and bool(found.facts.get(fact))
