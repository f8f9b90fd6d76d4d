"""How thick the bundle in each run is, bare and over its covering, and what it passes."""

from webapp.sizing.bundle import SleeveFacts, bundle_diameter_mm, covered_mm
from webapp.sizing.glands import OpeningFacts
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.cables import outsides_in_runs
from webapp.stages.design.rows import Design, Run

OPENINGS = ("gland", "grommet")


def run_diameters(design: Design, catalogue: Catalogue) -> dict[str, float]:
    """Diameter of the bundle in each run that has wires. [mm]"""
    by_run = outsides_in_runs(design, catalogue.parts)
    return {uid: bundle_diameter_mm(sizes).value for uid, sizes in by_run.items()}


def over_covering_mm(run: Run, bundle_mm: float, catalogue: Catalogue) -> float:
    """Diameter of a run's bundle over the covering chosen for it. [mm]"""
    part = catalogue.get(run.covering_part_uid)
    if part is None:
        return bundle_mm
    outside, wall = part.maybe("outside_mm"), part.maybe("wall_mm")
    return covered_mm(bundle_mm, outside_mm=outside, wall_mm=wall).value


def sleeves(catalogue: Catalogue, covering: str, *, at_c: float = 0.0) -> list[SleeveFacts]:
    """The sizes of a sort of covering that stand a temperature."""
    return [
        SleeveFacts(part.uid, part.number("inside_min_mm"), part.number("inside_max_mm"))
        for part in catalogue.kind("covering")
        if part.text("covering").lower() == covering.lower() and part.number("limit_c") >= at_c
    ]


def opening_kind(run: Run) -> str:
    """gland or grommet, as the run says that it passes; empty for neither."""
    said = run.through.lower()
    return next((kind for kind in OPENINGS if kind in said), "")


def openings(catalogue: Catalogue, kind: str, *, at_c: float = 0.0) -> list[OpeningFacts]:
    """The grommets or glands that stand a temperature."""
    return [opening_facts(part) for part in catalogue.kind(kind) if part.number("limit_c") >= at_c]


def opening_facts(part: CatalogPart) -> OpeningFacts:
    """A grommet or gland as sizing knows it."""
    gland = part.kind == "gland"
    return OpeningFacts(
        uid=part.uid,
        holds_min_mm=part.number("clamps_min_mm") if gland else 0.0,
        holds_max_mm=part.number("clamps_max_mm" if gland else "bore_mm"),
        passes_mm=part.number("passes_mm"),
        confirmed=part.confirmed,
    )
