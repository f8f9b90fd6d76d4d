"""What the catalogue offers for a design: cables of its family, terminals as sizing knows them."""

from webapp.sizing.terminations import TerminalFacts
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.rows import Design


def cables(design: Design, catalogue: Catalogue) -> dict[float, CatalogPart]:
    """The catalogue's cables of the family that the job names, by section: for each the one whose
    insulation stands the job's limit by least."""
    basis = design.basis
    found: dict[float, CatalogPart] = {}
    for part in sorted(catalogue.kind("cable"), key=lambda part: part.number("limit_c")):
        fits = (
            part.text("conductor_kind") == basis.cable_kind
            and part.text("finish") == basis.cable_finish
            and part.number("limit_c") >= basis.limit_c
            and part.stocked
        )
        if fits:
            found.setdefault(part.number("csa_mm2"), part)
    return dict(sorted(found.items()))


def terminal_facts(part: CatalogPart) -> TerminalFacts:
    return TerminalFacts(
        uid=part.uid,
        contact=part.text("contact"),
        csa_min_mm2=part.number("csa_min_mm2"),
        csa_max_mm2=part.number("csa_max_mm2"),
        strip_mm=part.number("strip_mm"),
        current_a=part.number("current_a"),
        insulation_min_mm=part.number("insulation_min_mm"),
        insulation_max_mm=part.number("insulation_max_mm"),
        crimped=bool(part.facts.get("crimped")),
        soldered=bool(part.facts.get("soldered")),
        seal_min_mm=part.maybe("seal_min_mm"),
        seal_max_mm=part.maybe("seal_max_mm"),
    )
