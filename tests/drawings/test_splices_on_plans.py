"""Splices drawn where they lie in their runs, on the bench's plan and on the one to scale."""

import re

import pytest

from webapp.drawings.plan import PlanPlace, PlanRun, plan_svg
from webapp.drawings.scale_layout import lay_out
from webapp.drawings.scale_plan import scale_plan_svg

PLACES = [PlanPlace("a", "battery box"), PlanPlace("b", "helm"), PlanPlace("c", "bow")]


def middles(drawing: str, radius: str) -> list[float]:
    found = re.findall(rf'<circle cx="([0-9.]+)" cy="[0-9.]+" r="{radius}"', drawing)
    return [float(x) for x in found]


def runs(*splices_mm: float, turned: bool = False) -> list[PlanRun]:
    ends = ("c", "b") if turned else ("b", "c")
    return [
        PlanRun("a", "b", 1000, 4, uid="one"),
        PlanRun(*ends, 1000, 4, uid="two", splices_mm=splices_mm),
    ]


@pytest.mark.parametrize("turned", [False, True])
def test_they_lie_as_far_along_as_the_run_says(turned: bool) -> None:
    at_mm = (900.0, 600.0) if turned else (100.0, 400.0)
    plain = plan_svg(PLACES, runs(turned=turned))
    spliced = plan_svg(PLACES, runs(*at_mm, turned=turned))
    near, far = sorted(set(middles(spliced, "4.5")) - set(middles(plain, "4.5")))
    places = sorted(middles(plain, "4.5"))
    helm, bow = places[1], places[2]
    assert near == pytest.approx(helm + 0.1 * (bow - helm), abs=1)
    assert far == pytest.approx(helm + 0.4 * (bow - helm), abs=1)


def test_the_plan_to_scale_has_them_too() -> None:
    without = scale_plan_svg(lay_out(PLACES, runs(), {}))
    given = scale_plan_svg(lay_out(PLACES, runs(100.0, 400.0), {}))
    assert len(middles(given, "4")) == len(middles(without, "4")) + 2
