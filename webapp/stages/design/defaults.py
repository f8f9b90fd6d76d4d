"""What a new design starts from, until somebody says otherwise. All of it is editable."""

from webapp.stages.design.rows import Basis

# Charging and discharged voltages per 2 V lead-acid cell: common practice.
CHARGING_V_PER_CELL = 2.4
DISCHARGED_V_PER_CELL = 11.5 / 6


def first_basis(nominal_v: int, setting: str) -> Basis:
    cells = nominal_v // 2
    craft = setting == "craft"
    return Basis(
        uid="basis",
        heat_at_v=round(cells * CHARGING_V_PER_CELL, 2),
        drop_at_v=round(cells * DISCHARGED_V_PER_CELL, 2),
        standard="small-craft-33cfr183" if craft else "vehicle-50c",
        colour_code="small-craft" if craft else "bs-au-7",
        cable_kind="iec60228-class5",
        cable_finish="tinned" if craft else "plain",
        insulation="pvc",
        limit_c=105.0,
        min_section_mm2=1.0 if craft else 0.5,
    )
