"""Calls for bundles, heat-shrink and crimps."""

from typing import Annotated, Literal

from fastapi import APIRouter
from pydantic import Field

from webapp.sizing.crimp import pull_force_n
from webapp.sizing.heat_shrink import choose_heat_shrink, heat_shrink_cut_mm, standard_heat_shrink
from webapp.sizing.packing import LARGEST_MM, MOST_CIRCLES, SMALLEST_MM, pack

from .answers import Answer, told
from .fields import Strict, WireSize
from .problems import RESPONSES, SizingRoute

router = APIRouter(
    prefix="/api/sizing", route_class=SizingRoute, responses=RESPONSES, tags=["sizing"]
)

Across = Annotated[float, Field(ge=SMALLEST_MM, le=LARGEST_MM)]


class BundleRequest(Strict):
    """Circles to be packed."""

    diameters_mm: Annotated[list[Across], Field(min_length=1, max_length=MOST_CIRCLES)]


class BundleAnswer(Answer):
    """The circle around them, and where each lies about its middle, in the order given."""

    diameter_mm: float
    centres_mm: list[tuple[float, float]]


@router.post("/bundle")
def bundle(sent: BundleRequest) -> BundleAnswer:
    """The smallest circle found around wires that do not overlap."""
    packing = pack(sent.diameters_mm)
    return BundleAnswer(
        diameter_mm=packing.diameter_mm,
        centres_mm=list(packing.centres_mm),
        reasons=told(packing.reasons),
    )


class HeatShrinkRequest(Strict):
    """What heat-shrink has to do. `ratio`: inside as supplied by inside recovered."""

    passes_over_mm: Annotated[float, Field(gt=0, le=LARGEST_MM)]
    grips_mm: Annotated[float, Field(gt=0, le=LARGEST_MM)]
    covered_length_mm: Annotated[float, Field(gt=0, le=100_000)]
    ratio: Annotated[float, Field(gt=1, le=10)] = 2.0


class HeatShrinkAnswer(Answer):
    """The size to take and the length to cut."""

    expanded_mm: float
    recovered_mm: float
    cut_length_mm: float


@router.post("/heat-shrink")
def heat_shrink(sent: HeatShrinkRequest) -> HeatShrinkAnswer:
    """The smallest heat-shrink that passes over the largest thing and grips the smallest."""
    choice = choose_heat_shrink(
        standard_heat_shrink(sent.ratio),
        passes_over_mm=sent.passes_over_mm,
        grips_mm=sent.grips_mm,
    )
    cut = heat_shrink_cut_mm(sent.covered_length_mm, choice.heat_shrink.longitudinal_change_percent)
    return HeatShrinkAnswer(
        expanded_mm=choice.heat_shrink.expanded_mm,
        recovered_mm=choice.heat_shrink.recovered_mm,
        cut_length_mm=cut.value,
        reasons=told([*choice.reasons, *cut.reasons]),
    )


class CrimpPullRequest(WireSize):
    """A crimp by its standard and the size of its wire."""

    standard: Literal["IEC 60352-2", "UL 486A", "AS7928"]


class CrimpPullAnswer(Answer):
    """The least force that the crimp must hold."""

    force_n: float


@router.post("/crimp-pull")
def crimp_pull(sent: CrimpPullRequest) -> CrimpPullAnswer:
    """Least pull-out force of a crimp."""
    sent.check_one_size()
    force = pull_force_n(sent.standard, csa_mm2=sent.csa_mm2, awg=sent.awg)
    return CrimpPullAnswer(force_n=force.value, reasons=told(force.reasons))
