"""The heat-shrink of the stores, and what a piece at a wire end must pass over and grip."""

from collections.abc import Sequence

from webapp.sizing.heat_shrink import HeatShrinkFacts, over_splice_mm, over_terminal_mm
from webapp.stages.catalogue import CatalogPart


def heat_shrink_facts(part: CatalogPart) -> HeatShrinkFacts:
    return HeatShrinkFacts(
        uid=part.uid,
        expanded_mm=part.number("expanded_mm"),
        recovered_mm=part.number("recovered_mm"),
        longitudinal_change_percent=part.number("longitudinal_percent"),
        confirmed=part.confirmed,
    )


def over_and_grips_mm(outside_mm: float, in_splice_mm: Sequence[float]) -> tuple[float, float]:
    """Largest diameter to pass over and smallest to grip: at a terminal, or round all the wires
    of a splice, whose outsides `in_splice_mm` are."""
    if len(in_splice_mm) > 1:
        return over_splice_mm(in_splice_mm)
    return over_terminal_mm(outside_mm)
