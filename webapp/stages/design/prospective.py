"""Short-circuit current at each fuse-link, from a new battery at 20 °C: what it must break."""

from webapp.sizing.conductors import resistance_mohm_per_m
from webapp.sizing.fuses import fault_current_a
from webapp.stages.design.figures import Figures
from webapp.stages.design.rows import Design

# Rested voltage of a charged lead-acid cell: the 2.12 V or so of the usual tables, rounded up.
RESTED_V_PER_CELL = 2.13


def prospective_a(design: Design) -> dict[str, float]:
    """Current into a dead short just behind each fuse-link, by the uid of its bridge. [A]

    The loop is a new, full battery, the cables from it to the fuse-link, and as much cable back
    where the fuse-link stands away from the battery. Charging sources add their rated current.
    """
    figures = Figures(design)
    feed_node = figures.circuitry.feed_node
    if feed_node is None:
        return {}
    reach = figures.circuitry.graph.reach(feed_node)
    charging_a = sum(
        need.rating
        for need in design.need.values()
        if need.kind == "source" and need.rating_unit == "A"
    )
    found = {}
    for bridge in design.bridge.values():
        if bridge.kind != "fuse" or bridge.way_a_uid not in reach:
            continue
        path = figures.circuitry.graph.path(reach, bridge.way_a_uid)
        fault = fault_current_a(
            source_voltage_v=design.nominal_v / 2 * RESTED_V_PER_CELL,
            supply_mohm=design.basis.supply_mohm_new,
            wire_mohm=sum(_loop_mohm(figures, uid) for uid in path),
        )
        found[bridge.uid] = fault.value + charging_a
    return found


def _loop_mohm(figures: Figures, uid: str) -> float:
    """A cable's resistance out and, where it leaves the battery's place, back again."""
    link = figures.design.link.get(uid)
    wire = figures.conductor(link) if link else None
    if link is None or wire is None:
        return 0.0
    length_mm = figures.circuitry.lengths_mm.get(uid, 0)
    ways = 2 if link.route else 1
    return ways * resistance_mohm_per_m(wire, 20.0).value * length_mm / 1000
