"""The call for a fuse-link and the wire behind it."""

from typing import Annotated, Literal

from fastapi import APIRouter
from pydantic import Field

from webapp.sizing.protection import fuse

from .answers import Answer, told
from .fields import Amps, Celsius, ConductorFields, LoadAmps, Metres, Milliohms, Seconds, Volts
from .problems import RESPONSES, SizingRoute

router = APIRouter(
    prefix="/api/sizing", route_class=SizingRoute, responses=RESPONSES, tags=["sizing"]
)

FuseKindId = Literal[
    "blade-mini",
    "blade-medium",
    "blade-high-current",
    "bolt-down",
    "class-t",
    "cartridge-10x38",
    "glass",
]


class FuseRequest(ConductorFields):
    """A load, its fuse-link's family, the wire between and the supply before."""

    load_a: LoadAmps
    continuous: bool = True
    inrush_a: Amps = 0.0
    inrush_s: Seconds = 0.0
    fuse_kind: FuseKindId = "blade-medium"
    run_m: Metres
    return_m: Metres = 0.0
    system_voltage_v: Volts
    supply_mohm: Milliohms
    upstream_mohm: Milliohms = 0.0
    ambient_c: Celsius
    limit_c: Celsius


class FuseAnswer(Answer):
    """The rating, a short at the far end, and what becomes of the wire."""

    rating_a: float
    breaking_ok: bool
    fault_current_a: float
    clearing_time_s: Annotated[
        float | None, Field(description="By the slowest gate; null: may never clear. [s]")
    ]
    wire_protected: bool
    findings: list[str]


@router.post("/fuse")
def choose(sent: FuseRequest) -> FuseAnswer:
    """The fuse-link for a load, held against its wire."""
    chosen = fuse(
        sent.wire(),
        load_a=sent.load_a,
        continuous=sent.continuous,
        inrush_a=sent.inrush_a,
        inrush_s=sent.inrush_s,
        fuse_kind=sent.fuse_kind,
        run_m=sent.run_m,
        return_m=sent.return_m,
        system_voltage_v=sent.system_voltage_v,
        supply_mohm=sent.supply_mohm,
        upstream_mohm=sent.upstream_mohm,
        ambient_c=sent.ambient_c,
        limit_c=sent.limit_c,
        outside_diameter_mm=sent.outside_diameter_mm,
    )
    return FuseAnswer(
        rating_a=chosen.rating_a,
        breaking_ok=chosen.breaking_ok,
        fault_current_a=chosen.fault_current_a,
        clearing_time_s=chosen.clearing_time_s,
        wire_protected=chosen.wire_protected,
        findings=list(chosen.findings),
        reasons=told(chosen.reasons),
    )
