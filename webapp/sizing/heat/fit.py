"""Fits the bundle's conductivity to the published curves, and writes down how far all lie off.

`python -m webapp.sizing.heat.fit` reads the published tables of seed_data and rewrites
fit_residuals.csv beside this file. Nothing else reads either.
"""

import csv
from collections.abc import Iterable, Sequence
from pathlib import Path

from webapp.sizing.conductors import STRANDED_AWG, VEHICLE, conductor
from webapp.sizing.heat.circuit import WarmWire, warm_wire
from webapp.sizing.heat.compare import (
    CURVE_AMBIENT_C,
    CURVE_LIMIT_C,
    Comparison,
    bundle_factor_against,
    current_against,
    share_within,
    spread,
)
from webapp.sizing.heat.place import place
from webapp.sizing.heat.steady import current_at

GAUGES = (22, 20, 18, 16, 14, 12)
RESIDUALS = Path(__file__).with_name("fit_residuals.csv")
PUBLISHED = Path(__file__).parents[3] / "seed_data" / "published"

Point = tuple[int, float, float]
"""Wires, loading in % and factor of a published bundle."""


def fitted_bundle_w_per_mk(points: Sequence[Point]) -> float:
    """The conductivity that leaves the least squares over AWG 22 to 12, in W/(m K).

    Args:
        points: Published factors.

    Source: least squares at the conditions of AC 43.13-1B par 11-69.
    """
    from scipy.optimize import minimize_scalar

    wires = [warm_wire(conductor(STRANDED_AWG, awg=awg)) for awg in GAUGES]

    def squares(bundle_w_per_mk: float) -> float:
        return sum(
            (_factor(wire, point, bundle_w_per_mk) - point[2]) ** 2
            for wire in wires
            for point in points
        )

    return float(minimize_scalar(squares, bounds=(0.05, 2), method="bounded").x)


def _factor(wire: WarmWire, point: Point, bundle_w_per_mk: float) -> float:
    alone = place(ambient_c=CURVE_AMBIENT_C)
    bundled = place(
        ambient_c=CURVE_AMBIENT_C, bundle_wires=point[0], bundle_loaded_percent=point[1]
    )
    alone_a, bundled_a = (
        current_at(wire.path(each, bundle_w_per_mk), wire.r20_ohm_per_m, CURVE_LIMIT_C)
        for each in (alone, bundled)
    )
    return bundled_a / alone_a


def _rows(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _bundle_points() -> list[Point]:
    return [
        (int(row["wires"]), float(row["loading_pct"]), float(row["factor"]))
        for row in _rows("bundle_derating_points")
    ]


def _gauge(written: str) -> int:
    return 1 - len(written) if set(written) == {"0"} else int(written)


def _single_wires() -> Iterable[tuple[str, str, Comparison]]:
    for row in _rows("ampacity_points"):
        if row["installation"].startswith("single wire in free air"):
            wire = conductor(STRANDED_AWG, awg=_gauge(row["awg"]))
        elif row["source"].startswith("DIN 72551") and row["ambient_c"] == "30":
            wire = conductor(VEHICLE, csa_mm2=float(row["csa_mm2"]))
        else:
            continue
        name = "AC 43.13-1B figure 11-4a" if wire.awg else "DIN 72551, 30 to 70 °C"
        ambient_c, limit_c = float(row["ambient_c"]), float(row["conductor_c"])
        found = current_against(wire, float(row["current_a"]), ambient_c=ambient_c, limit_c=limit_c)
        yield name, f"{wire.label} at {ambient_c:g} °C", found
    for row in _rows("small_craft_ampacity"):
        limit_c, published_a = float(row["insulation_temp_c"].split()[0]), float(row["i_max_a"])
        asked = row["location"] == "outside engine space, 30 C" and 75 <= limit_c <= 125
        if asked and published_a >= 20:
            wire = conductor("awg-solid", awg=_gauge(row["awg"]))
            found = current_against(wire, published_a, ambient_c=30, limit_c=limit_c)
            yield "33 CFR 183.425 Table 5", f"AWG {row['awg']} to {limit_c:g} °C", found


def _bundles() -> list[tuple[int, Point, Comparison]]:
    found = []
    for awg in GAUGES:
        wire = conductor(STRANDED_AWG, awg=awg)
        for point in _bundle_points():
            wires, loaded, factor = point
            each = bundle_factor_against(
                wire, factor, bundle_wires=wires, bundle_loaded_percent=loaded
            )
            found.append((awg, point, each))
    return found


def _worst_of_each_point(
    found: Iterable[tuple[int, Point, Comparison]],
) -> Iterable[tuple[str, str, Comparison]]:
    worst: dict[Point, tuple[int, Comparison]] = {}
    for awg, point, each in found:
        if point not in worst or abs(each.difference) > abs(worst[point][1].difference):
            worst[point] = (awg, each)
    for (wires, loaded, _), (awg, each) in worst.items():
        yield "MIL-W-5088L", f"{wires} wires, {loaded:g} % loaded, worst at AWG {awg}", each


def main() -> None:
    """Fit, report, and write the residuals."""
    print(f"bundle conductivity {fitted_bundle_w_per_mk(_bundle_points()):.3f} W/(m K)")
    singles, bundles = list(_single_wires()), _bundles()
    with RESIDUALS.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("published in", "point", "published", "computed", "difference"))
        for name, point, each in (*singles, *_worst_of_each_point(bundles)):
            computed = f"{each.computed:.4g}"
            writer.writerow((name, point, f"{each.published:g}", computed, _written(each)))
    print(f"bundle factors: {spread([each.difference for _, _, each in bundles])}")
    for title in dict.fromkeys(name for name, _, _ in singles):
        off = [each.difference_percent for name, _, each in singles if name == title]
        print(f"{title}: {spread(off)} %, within 10 %: {share_within(off, 10):.3f}")


def _written(each: Comparison) -> str:
    """A factor's difference as it is, a current's in per cent."""
    if each.published <= 1:
        return f"{each.difference:+.3f}"
    return f"{each.difference_percent:+.1f} %"


if __name__ == "__main__":
    main()
