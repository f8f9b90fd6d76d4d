"""What the catalogue offers for a design: cables of its family, terminals as sizing knows them."""

from webapp.sizing.terminations import TerminalFacts
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.rows import Design, Link

# From this section on, what comes straight from a battery is battery cable: common practice.
BATTERY_CABLE_MM2 = 16.0
BATTERY = "battery"
BESIDE_BATTERY = frozenset({"supply", "isolator", "main bar"})


def cables(design: Design, catalogue: Catalogue) -> dict[float, CatalogPart]:
    """The catalogue's cables of the family that the job names, by section: for each the one whose
    insulation stands the job's limit by least."""
    return _by_section(design, catalogue, "")


def battery_cables(design: Design, catalogue: Catalogue) -> dict[float, CatalogPart]:
    """The heavy flexible cables of the family that the job names, by section."""
    return _by_section(design, catalogue, BATTERY)


def cable_for(
    design: Design, catalogue: Catalogue, link: Link, csa_mm2: float
) -> CatalogPart | None:
    """The cable of this section: battery cable where a link is one, if the stores have it."""
    if is_battery_cable(design, link, csa_mm2):
        found = battery_cables(design, catalogue).get(csa_mm2)
        if found is not None:
            return found
    return cables(design, catalogue).get(csa_mm2)


def is_battery_cable(design: Design, link: Link, csa_mm2: float) -> bool:
    """A heavy starter cable, or one that ends on the battery, its isolator or its bars."""
    ends = (link.from_way_uid, link.to_way_uid)
    kinds = {design.fitting[design.way[uid].fitting_uid].kind for uid in ends if uid in design.way}
    return csa_mm2 >= BATTERY_CABLE_MM2 and bool(link.starter_cable or kinds & BESIDE_BATTERY)


def _by_section(design: Design, catalogue: Catalogue, suits: str) -> dict[float, CatalogPart]:
    found: dict[float, CatalogPart] = {}
    for part in sorted(catalogue.kind("cable"), key=lambda part: part.number("limit_c")):
        if part.text("suits") == suits and fits_job(design, part):
            found.setdefault(part.number("csa_mm2"), part)
    return dict(sorted(found.items()))


def fits_job(design: Design, part: CatalogPart) -> bool:
    """A stocked cable of the conductor, the finish and the limit that the job names."""
    basis = design.basis
    return (
        part.text("conductor_kind") == basis.cable_kind
        and part.text("finish") == basis.cable_finish
        and part.number("limit_c") >= basis.limit_c
        and part.stocked
    )


def cable_of_cores(
    design: Design, catalogue: Catalogue, *, cores: int, csa_mm2: float, screened: bool
) -> CatalogPart | None:
    """The stocked cable with the fewest cores, then the thinnest, that will do."""
    found = [
        part
        for part in catalogue.kind("cable of cores")
        if fits_job(design, part)
        and bool(part.facts.get("screened")) == screened
        and len(part.core_colours) >= cores
        and part.number("csa_mm2") >= csa_mm2 - 1e-9
    ]
    return min(
        found,
        key=lambda part: (len(part.core_colours), part.number("csa_mm2"), part.number("limit_c")),
        default=None,
    )


def most_cores(design: Design, catalogue: Catalogue, *, screened: bool) -> int:
    """How many cores the largest stocked cable of that sort has."""
    return max(
        (
            len(part.core_colours)
            for part in catalogue.kind("cable of cores")
            if fits_job(design, part) and bool(part.facts.get("screened")) == screened
        ),
        default=0,
    )


def by_contact(catalogue: Catalogue) -> dict[str, list[CatalogPart]]:
    """The stores' terminals by what they mate with."""
    found: dict[str, list[CatalogPart]] = {}
    for part in catalogue.kind("terminal"):
        found.setdefault(part.text("contact"), []).append(part)
    return found


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
