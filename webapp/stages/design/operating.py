"""The loom solved as a network in each operating state: how current really divides, and what each
load is left with.

States: everything that lasts is on; and the same with each load that has a duty besides. Heat is
reckoned at the charging voltage, drop at a discharged battery, both at the battery's own terminals.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from webapp.sizing.load_current import LOAD_KINDS
from webapp.sizing.paths import CONDUCTING, Edge
from webapp.sizing.reasons import SizingError

if TYPE_CHECKING:
    from webapp.sizing.network import Load, Network, Solution
    from webapp.stages.design.currents import LoadFigures
    from webapp.stages.design.figures import Figures

ALL_LASTING = "all that lasts"
# Inside fittings [Ω]: common practice for clean, tight joints.
JOINT_OHM = 0.0002
CONTACT_OHM = 0.002
CHASSIS_OHM = 0.0005
FUSE_V = 0.1  # what a fuse-link loses at its rating: common practice
UNSIZED_OHM = 0.001
SETTLED = 1e-5  # change of a resistance in the last round, as a share


@dataclass(frozen=True)
class State:
    """One operating state, solved."""

    name: str
    duty_uid: str | None
    solution: "Solution"


class Operating:
    """The states of one design. `trouble` says why there is no solution, where there is none."""

    def __init__(self, figures: "Figures") -> None:
        self.figures = figures
        self.trouble = ""

    @cached_property
    def hot(self) -> list[State]:
        """Every state at the charging voltage."""
        return self._states(self.figures.design.basis.heat_at_v)

    @cached_property
    def low(self) -> list[State]:
        """Every state at a discharged battery."""
        return self._states(self.figures.design.basis.drop_at_v)

    def _states(self, volts: float) -> list[State]:
        if self.figures.circuitry.supply is None or not self._loads:
            return []
        from webapp.sizing.network import solve_warm

        found: list[State] = []
        try:
            for duty in (None, *(load for load in self._loads if not load.lasting)):
                warm = solve_warm(self.network(volts, duty), self._ohm_at, tolerance=SETTLED)
                name = self._name(duty)
                found.append(State(name, duty.uid if duty else None, warm.solution))
        except SizingError as error:
            self.trouble = str(error)
            return []
        return found

    @cached_property
    def _loads(self) -> list["LoadFigures"]:
        return [load for load in self.figures.loads.values() if load.path.complete]

    def _name(self, duty: "LoadFigures | None") -> str:
        if duty is None:
            return ALL_LASTING
        fitting = self.figures.design.fitting[duty.bridge.fitting_uid]
        return f"{fitting.name} besides"

    def network(self, volts: float, duty: "LoadFigures | None") -> "Network":
        """The loom in one state, wires as warm as the traced currents make them."""
        from webapp.sizing.network import Network, Supply, Wire

        supply = self.figures.circuitry.supply
        assert supply is not None
        on = [load for load in self._loads if load.lasting or load is duty]
        return Network(
            return_node=supply.way_b_uid,
            supplies=(Supply("battery", supply.way_a_uid, supply.way_b_uid, volts, 0.0),),
            wires=tuple(Wire(edge.uid, edge.a, edge.b, self._ohm(edge)) for edge in self._edges),
            loads=tuple(self._load(load, volts) for load in on if self._takes_some(load)),
        )

    @cached_property
    def _edges(self) -> list[Edge]:
        """What conducts and hangs together with the battery."""
        supply = self.figures.circuitry.supply
        assert supply is not None
        graph = self.figures.circuitry.graph
        reached = graph.reach(supply.way_a_uid).keys() | graph.reach(supply.way_b_uid).keys()
        return [
            edge
            for edge in graph.edges.values()
            if edge.kind in CONDUCTING and edge.a in reached and edge.a != edge.b
        ]

    def _ohm(self, edge: Edge) -> float:
        if edge.kind == "wire":
            link = self.figures.design.link[edge.uid]
            wire = self.figures.conductor(link)
            ohm = self.figures.link_ohm(link, wire) if wire is not None else UNSIZED_OHM
            return max(ohm, JOINT_OHM)
        if edge.kind == "fuse":
            return FUSE_V / max(edge.fuse_a or 1.0, 0.1)
        return {"contact": CONTACT_OHM, "chassis": CHASSIS_OHM}.get(edge.kind, JOINT_OHM)

    def _ohm_at(self, uid: str, amps: float) -> float:
        """Resistance of a wire as warm as this current makes it; joints stay as they are."""
        link = self.figures.design.link.get(uid)
        wire = self.figures.conductor(link) if link is not None else None
        if link is None or wire is None:
            return self._cold[uid]
        return max(self.figures.link_ohm(link, wire, amps), JOINT_OHM)

    @cached_property
    def _cold(self) -> dict[str, float]:
        return {edge.uid: self._ohm(edge) for edge in self._edges}

    def _takes_some(self, load: "LoadFigures") -> bool:
        return load.heat_a > 0 and load.drop_a > 0

    def _load(self, load: "LoadFigures", volts: float) -> "Load":
        """Constant current for motors and lamps, power for electronics, resistance for the rest."""
        from webapp.sizing.network import Load

        hot = volts == self.figures.design.basis.heat_at_v
        amps = load.heat_a if hot else load.drop_a
        a, b = load.bridge.way_a_uid, load.bridge.way_b_uid
        if load.path.reversed:
            a, b = b, a
        kind = load.need.kind if load.need and load.need.kind in LOAD_KINDS else "resistive"
        if load.bridge.load_a is not None or kind in ("motor", "lamp"):
            return Load(load.uid, a, b, current_a=amps)
        if kind in ("electronics", "led"):
            return Load(load.uid, a, b, power_w=amps * volts)
        return Load(load.uid, a, b, resistance_ohm=volts / amps)

    # Answers

    @cached_property
    def worst(self) -> dict[str, tuple[float, str]]:
        """For each link the largest current of all states, and the state's name."""
        found: dict[str, tuple[float, str]] = {}
        for state in self.hot:
            for uid, amps in self._currents(state):
                if uid not in found or amps > found[uid][0]:
                    found[uid] = (amps, state.name)
        return found

    def _currents(self, state: State) -> Iterator[tuple[str, float]]:
        links = self.figures.design.link
        for uid, flow in state.solution.wires.items():
            if uid in links:
                yield uid, abs(flow.current_a) * self._share(uid, state)

    def _share(self, uid: str, state: State) -> float:
        """A starter cable takes a duty of seconds by its root mean square."""
        if state.duty_uid is None or not self.figures.design.link[uid].starter_cable:
            return 1.0
        return self.figures.duty_share(state.duty_uid)

    @cached_property
    def lost_v(self) -> dict[str, float]:
        """For each load what the wires out and back lose at a discharged battery.

        Limits of drop are about conductors, so joints, contacts and fuse-links are not counted. A
        load with a duty is looked at while it is on; the others while no other duty is.
        """
        by_duty = {state.duty_uid: state.solution for state in self.low}
        links = self.figures.design.link
        return {
            load.uid: sum(
                abs(solution.wires[uid].drop_v)
                for uid in load.path.edges
                if uid in links and uid in solution.wires
            )
            for load in self._loads
            if (solution := by_duty.get(None if load.lasting else load.uid)) is not None
        }

    def volts_at(self, way_uids: Iterable[str]) -> dict[str, float]:
        """Least voltage against the battery's return at each way, while all that lasts is on."""
        if not self.low:
            return {}
        nodes = self.low[0].solution.nodes
        return {uid: nodes[uid] for uid in way_uids if uid in nodes}
