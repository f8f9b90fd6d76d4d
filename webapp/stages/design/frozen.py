"""The figures of a design with their reasons, as they are kept at sign-off and with a quote."""

import math
from dataclasses import asdict
from typing import Any

from webapp.stages.design.figures import Figures, WireFigures
from webapp.stages.design.rows import Design


def frozen_wires(design: Design) -> dict[str, Any]:
    """By the uid of the link: current, fuse-link, capacity, temperature, drop, and why."""
    figures = Figures(design)
    return {uid: _wire(figures.wire(uid)) for uid in design.link}


def _wire(wire: WireFigures) -> dict[str, Any]:
    unfused = wire.fuse_a is not None and math.isinf(wire.fuse_a)
    return {
        "heat_a": wire.heat_a,
        "fuse_a": None if unfused else wire.fuse_a,
        "needed_a": wire.needed_a,
        "state": wire.state,
        "capacity_a": wire.capacity.current_a if wire.capacity else None,
        "temperature_c": wire.temperature_c,
        "drop_v": wire.drop_v,
        "reasons": [asdict(reason) for reason in wire.reasons],
    }
