"""Shorts at the far end: whether the fuse-link opens in time, and whether only the nearest does."""

from collections.abc import Iterator
from itertools import pairwise

from webapp.sizing.conductors import resistance_mohm_per_m
from webapp.sizing.fuse_gates import FUSE_KIND_IDS, family, shortest_opening_s
from webapp.sizing.heat.circuit import warm_wire
from webapp.sizing.protection import fault_stood, let_through_s
from webapp.sizing.reasons import LARGEST_CURRENT_A
from webapp.sizing.selectivity import FuseLink, selectivity
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.findings.finding import Finding, View
from webapp.stages.design.prospective import RESTED_V_PER_CELL, prospective_a
from webapp.stages.design.rows import Bridge

# From here on gates speak of short circuits; families whose gates end below say nothing of them.
SHORT_TIME_PERCENT = 350


def far_faults_clear(view: View) -> Iterator[Finding]:
    """A dead short at a load, from an old, cold battery, through wires out and back at 20 °C."""
    unjudged: set[str] = set()
    for load in view.figures.loads.values():
        fuse = view.figures.fuse_of_load(load)
        if not load.path.complete or fuse is None or not _known(fuse):
            continue
        fault_a = far_fault_a(view, load)
        kind, rating = fuse.fuse_kind or "", fuse.fuse_a or 0.0
        if let_through_s(kind, rating, fault_a) is None:
            yield Finding(
                "fault never cleared",
                "error",
                "fitting",
                load.bridge.fitting_uid,
                f"A short here draws about {fault_a:,.0f} A from an old, cold battery: the "
                f"{rating:g} A fuse-link may never clear it. Thicken its wires, or feed it from a "
                f"smaller fuse-link.",
                family(kind).gates_source,
            )
        elif family(kind).gates[-1].percent < SHORT_TIME_PERCENT:
            unjudged.add(family(kind).title)
        else:
            yield from _wires_stand(view, load, fuse, fault_a)
    for title in sorted(unjudged):
        yield Finding(
            "fault not judged",
            "note",
            "basis",
            "basis",
            f"{title}: its published gates end before short circuits begin, so whether wires stand "
            f"one until it opens is not judged here. Its maker's curve says.",
            "the family's time-current gates",
        )


def _wires_stand(view: View, load: LoadFigures, fuse: Bridge, fault_a: float) -> Iterator[Finding]:
    """The wires between the fuse-link and the load while it clears."""
    feed = load.path.feed or ()
    behind = feed[: feed.index(fuse.uid)] if fuse.uid in feed else feed
    for uid in behind:
        link = view.design.link.get(uid)
        wire = view.figures.conductor(link) if link else None
        if link is None or wire is None or link.own_lead:
            continue
        stands = fault_stood(
            warm_wire(wire),
            fuse.fuse_kind or "",
            fuse.fuse_a or 0.0,
            fault_a,
            limit_c=view.design.basis.limit_c,
        )
        if stands is False:
            yield Finding(
                "fault heats wire",
                "error",
                "wire",
                uid,
                f"A short at its far end draws about {fault_a:,.0f} A; the {fuse.fuse_a:g} A "
                f"fuse-link may let that through for longer than {link.csa_mm2:g} mm² stands.",
                "BS 7671 regulation 434.5.2",
            )


def far_fault_a(view: View, load: LoadFigures) -> float:
    """Current into a dead short at a load's terminals. [A]"""
    mohm = view.design.basis.supply_mohm_old_cold
    for uid in load.path.edges:
        link = view.design.link.get(uid)
        wire = view.figures.conductor(link) if link else None
        if link is not None and wire is not None:
            length_mm = view.figures.circuitry.lengths_mm.get(uid, 0)
            mohm += resistance_mohm_per_m(wire, 20.0).value * length_mm / 1000
    volts = view.design.nominal_v / 2 * RESTED_V_PER_CELL
    return min(volts / max(mohm, 0.01) * 1000, LARGEST_CURRENT_A)


def inrush_passes(view: View) -> Iterator[Finding]:
    for load in view.figures.loads.values():
        need, fuse = load.need, view.figures.fuse_of_load(load)
        if need is None or not need.inrush_a or not need.inrush_s:
            continue
        if fuse is None or not _known(fuse):
            continue
        others = view.figures.lasting_a(fuse.uid) - (load.heat_a if load.lasting else 0.0)
        rush_a = min(need.inrush_a + max(0.0, others), LARGEST_CURRENT_A)
        opens = shortest_opening_s(fuse.fuse_kind or "", fuse.fuse_a or 0.0, rush_a)
        if opens.time_s is not None and opens.time_s <= need.inrush_s:
            yield Finding(
                "inrush",
                "warning",
                "fitting",
                load.bridge.fitting_uid,
                f"It takes {rush_a:.3g} A for {need.inrush_s:g} s when it starts; the "
                f"{fuse.fuse_a:g} A fuse-link may open after {opens.time_s:g} s.",
                family(fuse.fuse_kind or "").gates_source,
            )


def nearest_opens_first(view: View) -> Iterator[Finding]:
    """One note for each pair of holders in series where the gates do not promise it."""
    faults = prospective_a(view.design)
    said: dict[tuple[str, str], tuple[float, Bridge, Bridge]] = {}
    for load in view.figures.loads.values():
        fuses = [view.design.bridge[uid] for uid in load.path.feed or () if _is_fuse(view, uid)]
        for near, far in pairwise(fuses):
            if not (_known(near) and _known(far)) or faults.get(near.uid, 0.0) <= 0:
                continue
            found = selectivity(
                FuseLink(far.fuse_kind or "", far.fuse_a or 0.0),
                FuseLink(near.fuse_kind or "", near.fuse_a or 0.0),
                min(faults[near.uid], LARGEST_CURRENT_A),
            )
            if found.up_to_a is not None:
                pair = (far.fitting_uid, near.fitting_uid)
                said[pair] = min(
                    said.get(pair, (1e9, near, far)),
                    (found.up_to_a, near, far),
                    key=lambda each: each[0],
                )
    for (far_uid, near_uid), (up_to_a, _, _) in said.items():
        yield Finding(
            "selectivity",
            "note",
            "fitting",
            near_uid,
            f"On a short of more than about {up_to_a:,.0f} A the fuse-link in "
            f"{view.name(far_uid)} may open as well as the one here.",
            "the time-current tables of both families",
        )


def _is_fuse(view: View, uid: str) -> bool:
    return uid in view.design.bridge and view.design.bridge[uid].kind == "fuse"


def _known(fuse: Bridge) -> bool:
    return bool(fuse.fuse_a) and fuse.fuse_kind in FUSE_KIND_IDS


RULES = (far_faults_clear, inrush_passes, nearest_opens_first)
