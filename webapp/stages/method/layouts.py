"""Circles in a circle and lengths from stock: best known results against what is found here."""

import math
import re

from webapp.sizing.cutting import Cut, CutPlan, Stock, cut_plan
from webapp.sizing.heat.compare import Comparison
from webapp.sizing.packing import pack
from webapp.stages.method.published import Row, rows
from webapp.stages.method.subject import Held, Subject, held


def circles() -> Subject:
    return Subject(
        slug="circles",
        title="Equal circles in a circle",
        unit="",
        model="diameter of the bundle by that of its wires, as the search finds it in the time "
        "that a page has",
        plus="ours is larger than the best known: the bundle is taken as somewhat too thick",
        within=1,
        rows=[
            held(
                f"{row['n']} wires, {row['status']}",
                row,
                Comparison(
                    float(row["ratio_6dp_recomputed"]), pack([1.0] * int(row["n"])).diameter_mm
                ),
            )
            for row in rows("circles_in_circle")
        ],
        left_out="31 wires: no published value is at hand.",
    )


def cutting() -> Subject:
    return Subject(
        slug="cutting",
        title="Cut plans",
        unit="",
        model="the plan, proven best where it says so",
        plus="ours takes more",
        within=1,
        rows=[_instance(row) for row in rows("cutting_stock")],
    )


def _instance(row: Row) -> Held:
    plan = _planned(row)
    proof = "proven best" if plan.proven_optimal else f"not proven: gap {100 * plan.gap:.2g} %"
    if row["quantity"] == "total length":
        values = Comparison(float(row["value"]), plan.stock_used_mm - plan.waste_mm)
        return held(f"{row['instance']}: length cut, mm", row | {"note": ""}, values, proof)
    least = math.ceil(float(row["value"]))
    rounded = f"{row['quantity']} {row['value']}, rounded up" if "bound" in row["quantity"] else ""
    note = "; ".join(each for each in (rounded, proof) if each)
    return held(
        f"{row['instance']}: pieces of stock", row, Comparison(least, plan.stock_used), note
    )


def _planned(row: Row) -> CutPlan:
    listed = re.findall(r"(\d+)x(\d+)", row["pieces_length_x_count"])
    cuts = [Cut(int(length), int(count)) for length, count in listed]
    return cut_plan([Stock(int(row["stock_length"]))], cuts)
