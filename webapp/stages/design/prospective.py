"""Short-circuit current at each fuse-link, from a new battery at 20 °C: what it must break."""

from collections.abc import Iterable, Iterator

from webapp.sizing.conductors import resistance_mohm_per_m
from webapp.sizing.fuses import fault_current_a
from webapp.stages.design.figures import Figures
from webapp.stages.design.rows import Bridge

# Rested voltage of a charged lead-acid cell: the 2.12 V or so of the usual tables, rounded up.
RESTED_V_PER_CELL = 2.13


def prospective_a(figures: Figures) -> dict[str, float]:
    """Current into a dead short just beside each fuse-link, by the uid of its bridge. [A]

    The loop is a new, full battery, the cables from it to the fuse-link, and as much cable back
    where the fuse-link stands away from the battery. All that comes to one side of a fuse-link it
    must break: of several batteries those on that side together; the worse side counts. Charging
    sources add their rated current.
    """
    sides: dict[str, list[float]] = {
        bridge.uid: [0.0, 0.0] for bridge in figures.design.bridge.values() if bridge.kind == "fuse"
    }
    for supply in figures.circuitry.supplies:
        for uid, side, fault_a in _faults(figures, supply, sides):
            sides[uid][side] += fault_a
    charging_a = _charging_a(figures)
    return {uid: max(both) + charging_a for uid, both in sides.items() if max(both) > 0}


def _faults(
    figures: Figures, supply: Bridge, fuse_uids: Iterable[str]
) -> Iterator[tuple[str, int, float]]:
    """What one battery drives into a short behind each fuse-link, and on which side it stands."""
    circuitry, design = figures.circuitry, figures.design
    reach = circuitry.graph.reach(circuitry.feed_node(supply), circuitry.feed_pole)
    for uid in fuse_uids:
        bridge = design.bridge[uid]
        for side, way_uid in enumerate((bridge.way_a_uid, bridge.way_b_uid)):
            if way_uid not in reach:
                continue
            path = circuitry.graph.path(reach, way_uid)
            if uid in path:
                continue  # The battery stands on the other side.
            fault = fault_current_a(
                source_voltage_v=design.nominal_v / 2 * RESTED_V_PER_CELL,
                supply_mohm=design.basis.supply_mohm_new,
                wire_mohm=sum(_loop_mohm(figures, each) for each in path),
            )
            yield uid, side, fault.value
            break


def _charging_a(figures: Figures) -> float:
    """Rated current of what charges, batteries apart."""
    batteries = {supply.need_uid for supply in figures.circuitry.supplies}
    return sum(
        need.rating
        for need in figures.design.need.values()
        if need.kind == "source" and need.rating_unit == "A" and need.uid not in batteries
    )


def _loop_mohm(figures: Figures, uid: str) -> float:
    """A cable's resistance out and, where it leaves the battery's place, back again."""
    link = figures.design.link.get(uid)
    wire = figures.conductor(link) if link else None
    if link is None or wire is None:
        return 0.0
    length_mm = figures.circuitry.lengths_mm.get(uid, 0)
    ways = 2 if link.route else 1
    return ways * resistance_mohm_per_m(wire, 20.0).value * length_mm / 1000
