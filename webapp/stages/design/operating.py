"""The loom solved as a network in each operating state: how current really divides, and what each
load is left with.

States: everything that lasts is on; the same with a change-over in its other position; the same
with each load that has a duty besides; cranking. Heat is reckoned at the charging voltage, drop at
a discharged battery, both at the battery's own terminals; only while cranking is the battery's own
resistance counted too, for what it is left with.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from webapp.sizing.load_current import LOAD_KINDS
from webapp.sizing.paths import CONDUCTING, NEGATIVE, Edge, Graph
from webapp.sizing.reasons import Reason, SizingError
from webapp.stages.design.together import ALL_LASTING, CRANKING, Moment, most_at_once

if TYPE_CHECKING:
    from webapp.sizing.network import Load, Network, Solution, SupplyFlow, Wire
    from webapp.stages.design.currents import LoadFigures
    from webapp.stages.design.figures import Figures
    from webapp.stages.design.rows import Basis

# Inside fittings [Ω]: common practice for clean, tight joints.
JOINT_OHM = 0.0002
CONTACT_OHM = 0.002
CHASSIS_OHM = 0.0005
FUSE_V = 0.1  # what a fuse-link loses at its rating: common practice
DIODE_V = 0.8  # what a conducting silicon diode loses: common practice
UNSIZED_OHM = 0.001
SETTLED = 1e-5  # change of a resistance in the last round, as a share


@dataclass(frozen=True)
class OperatingState:
    """Which loads are on together, and which contacts of change-overs are open meanwhile."""

    name: str
    on: tuple["LoadFigures", ...]
    open: frozenset[str] = frozenset()
    moment: Moment | None = None


@dataclass(frozen=True)
class State:
    """One operating state, solved."""

    of: OperatingState
    solution: "Solution"

    @property
    def name(self) -> str:
        return self.of.name


@dataclass(frozen=True)
class Cranking:
    """What an old, cold battery is left with while the engine is cranked."""

    battery_v: float
    current_a: float
    solution: "Solution"
    reason: Reason


class Operating:
    """The states of one design. `trouble` says why there is no solution, where there is none."""

    def __init__(self, figures: "Figures") -> None:
        self.figures = figures
        self.trouble = ""

    # The states

    @cached_property
    def states(self) -> list[OperatingState]:
        """Every operating state, by a name of its own; the first is all that lasts."""
        if self.figures.circuitry.supply is None or not self._loads:
            return []
        lasting = [load for load in self._loads if load.lasting]
        first = self._state(ALL_LASTING, self._first_positions(lasting))
        found = [first]
        for contact in self._contacts:
            if all(contact in state.open for state in found):
                positions = self._positions_through(contact)
                if positions:
                    positions = self._first_positions(lasting) | positions
                    found.append(self._state(self._position_name(contact), positions))
        for moment in self.figures.moments:
            on = [load for load in moment.on if load in self._loads]
            if on:
                positions = self._first_positions(lasting)
                for load in on:
                    positions |= load.positions
                found.append(self._state(moment.name, positions, moment))
        return _named_apart(found)

    def state(self, name: str) -> OperatingState | None:
        """The state of this name."""
        return next((state for state in self.states if state.name == name), None)

    @cached_property
    def _loads(self) -> list["LoadFigures"]:
        """The loads that a battery in the loom can feed."""
        kept = {
            place
            for place, supply in enumerate(self.figures.circuitry.supplies)
            if supply.way_a_uid in self._reached or supply.way_b_uid in self._reached
        }
        return [
            load
            for load in self.figures.loads.values()
            if load.path.complete and not load.path.charging and load.path.supply in kept
        ]

    @property
    def _contacts(self) -> list[str]:
        """The contacts of all change-overs."""
        return [uid for each in self.figures.circuitry.change_overs.values() for uid in each]

    def _first_positions(self, lasting: list["LoadFigures"]) -> dict[str, str]:
        """For each change-over the contact whose loads take most; its first where none does."""
        positions = {by: uids[0] for by, uids in self.figures.circuitry.change_overs.items()}
        for load in most_at_once(lasting, lambda load: load.heat_a):
            positions |= load.positions
        return positions

    def _positions_through(self, contact: str) -> dict[str, str]:
        """The positions in which some lasting load is fed through a contact."""
        for load in self._loads:
            if load.lasting:
                for positions in (load.positions, *self.figures.other_positions(load)):
                    if contact in positions.values():
                        return positions
        return {}

    def _state(
        self, name: str, positions: dict[str, str], moment: Moment | None = None
    ) -> OperatingState:
        besides = {load.uid for load in moment.on} if moment else set()
        off = moment.off if moment else frozenset()
        open_uids = frozenset(
            [uid for uid in self._contacts if uid not in positions.values()]
            + [uid for coil in off for uid in self._contacts_of(coil)]
        )
        fed = self._fed(open_uids)
        on = [
            load
            for load in self._loads
            if load.uid in fed and (load.uid in besides or (load.lasting and load.uid not in off))
        ]
        return OperatingState(name, tuple(on), open_uids, moment)

    def _contacts_of(self, load_uid: str) -> list[str]:
        """The contacts that a relay's coil closes; none for any other load."""
        bridges = self.figures.design.bridge
        coil = bridges[load_uid]
        if coil.kind != "coil":
            return []
        return [
            bridge.uid
            for bridge in bridges.values()
            if bridge.fitting_uid == coil.fitting_uid and bridge.kind == "contact"
        ]

    def _fed(self, open_uids: frozenset[str]) -> set[str]:
        """The loads that are fed with these contacts open."""
        if not open_uids:
            return {load.uid for load in self._loads}
        graph = self.figures.circuitry.graph.without(open_uids)
        return {path.load_uid for path in self.figures.circuitry.paths_in(graph) if path.complete}

    def _position_name(self, contact: str) -> str:
        bridge = self.figures.design.bridge[contact]
        fitting = self.figures.design.fitting[bridge.fitting_uid]
        return f"{fitting.name} at {self.figures.design.way[bridge.way_b_uid].label}"

    # Solving

    @cached_property
    def hot(self) -> list[State]:
        """Every state at the charging voltage."""
        return self._solved(self.figures.design.basis.heat_at_v)

    @cached_property
    def low(self) -> list[State]:
        """Every state at a discharged battery."""
        return self._solved(self.figures.design.basis.drop_at_v)

    def _solved(self, volts: float) -> list[State]:
        try:
            return [State(state, self._solution(volts, state)) for state in self.states]
        except SizingError as error:
            self.trouble = str(error)
            return []

    def _solution(self, volts: float, state: OperatingState, supply_ohm: float = 0.0) -> "Solution":
        from webapp.sizing.network import solve_warm

        network = self.network(volts, state, supply_ohm)

        def ohm_at(uid: str, amps: float) -> float:
            # A starter cable is as warm as its duty makes it, not as if cranked for ever.
            return self._ohm_at(uid, amps * self.share(uid, state))

        return solve_warm(network, ohm_at, tolerance=SETTLED).solution

    def network(self, volts: float, state: OperatingState, supply_ohm: float = 0.0) -> "Network":
        """The loom in one state, wires as warm as the traced currents make them."""
        from webapp.sizing.network import Network, Supply

        supplies = self.figures.circuitry.supplies
        edges = self._edges(state.open)
        ends = {end for edge in edges for end in (edge.a, edge.b)}
        return Network(
            return_node=supplies[0].way_b_uid,
            supplies=tuple(
                Supply(each.uid, each.way_a_uid, each.way_b_uid, volts, supply_ohm)
                for each in supplies
                if each is supplies[0] or ends & {each.way_a_uid, each.way_b_uid}
            ),
            wires=tuple(self._wires[edge.uid] for edge in edges),
            loads=tuple(self._load(load, volts) for load in state.on if self._takes_some(load)),
        )

    @cached_property
    def _reached(self) -> set[str]:
        return self._reached_in(self.figures.circuitry.graph)

    def _reached_in(self, graph: Graph) -> set[str]:
        """What hangs together with the main battery, and with others that do."""
        found: set[str] = set()
        waiting = [(each.way_a_uid, each.way_b_uid) for each in self.figures.circuitry.supplies]
        while True:
            poles = next((pair for pair in waiting if not found or found & set(pair)), None)
            if poles is None:
                return found
            waiting.remove(poles)
            found |= graph.reach(poles[0]).keys() | graph.reach(poles[1], NEGATIVE).keys()

    def _edges(self, open_uids: frozenset[str]) -> list[Edge]:
        """What conducts and hangs together with the battery."""
        graph = self.figures.circuitry.graph
        reached = self._reached
        if open_uids:
            graph = graph.without(open_uids)
            reached = self._reached_in(graph)
        return [
            edge
            for edge in graph.edges.values()
            if edge.kind in CONDUCTING and edge.a in reached and edge.a != edge.b
        ]

    @cached_property
    def _wires(self) -> "dict[str, Wire]":
        """Every wire that some state may have, by its uid."""
        return {edge.uid: self._wire(edge) for edge in self._edges(frozenset())}

    def _wire(self, edge: Edge) -> "Wire":
        from webapp.sizing.network import Wire

        forward_v = DIODE_V if edge.kind == "diode" else 0.0
        return Wire(edge.uid, edge.a, edge.b, self.edge_ohm(edge), forward_v)

    def edge_ohm(self, edge: Edge) -> float:
        """Resistance of a wire as its traced current warms it, or of what lies in a fitting. [Ω]"""
        if edge.kind == "wire":
            link = self.figures.design.link[edge.uid]
            wire = self.figures.conductor(link)
            ohm = self.figures.link_ohm(link, wire) if wire is not None else UNSIZED_OHM
            return max(ohm, JOINT_OHM)
        if edge.kind == "fuse":
            return FUSE_V / max(edge.fuse_a or 1.0, 0.1)
        if edge.kind == "resistor":
            return max(self.figures.design.bridge[edge.uid].resistance_ohm or 0.0, JOINT_OHM)
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
        return {uid: wire.resistance_ohm for uid, wire in self._wires.items()}

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
                yield uid, abs(flow.current_a) * self.share(uid, state.of)

    def share(self, uid: str, state: OperatingState) -> float:
        """A starter cable takes a duty of seconds by its root mean square."""
        link = self.figures.design.link.get(uid)
        if state.moment is None or link is None or not link.starter_cable:
            return 1.0
        return max(self.figures.duty_share(load.uid) for load in state.moment.on)

    @cached_property
    def lost_v(self) -> dict[str, float]:
        """For each load what the wires out and back lose at a discharged battery.

        Limits of drop are about conductors, so joints, contacts, diodes and fuse-links are not
        counted. A load with a duty is looked at while it is on; the others while no duty is.
        """
        links = self.figures.design.link
        found: dict[str, float] = {}
        for state in self.low:
            besides = {load.uid for load in state.of.moment.on} if state.of.moment else None
            for load in state.of.on:
                if load.uid in found or (load.uid not in besides if besides else not load.lasting):
                    continue
                found[load.uid] = sum(
                    abs(state.solution.wires[uid].drop_v)
                    for uid in load.path.edges
                    if uid in links and uid in state.solution.wires
                )
        return found

    @cached_property
    def cranking(self) -> Cranking | None:
        """The engine cranked from an old, cold battery; None without a starter or a solution.

        Raises nothing: where a load cannot be met any more, `trouble` says so.
        """
        state = self.state(CRANKING)
        basis = self.figures.design.basis
        if state is None:
            return None
        try:
            solution = self._solution(basis.drop_at_v, state, basis.supply_mohm_old_cold / 1000)
        except SizingError as error:
            self.trouble = str(error)
            return None
        flow = solution.supplies[self.figures.circuitry.supplies[0].uid]
        return Cranking(flow.terminal_v, flow.current_a, solution, _cranking_reason(basis, flow))

    def volts_at(self, way_uids: Iterable[str], state_name: str = ALL_LASTING) -> dict[str, float]:
        """Voltage of each way against the battery's return at a discharged battery. [V]

        Args:
            way_uids: Ways; those that hang in the air in that state are left out.
            state_name: One of the names in `states`; cranking is with an old, cold battery.
        """
        solution = self.low_solution(state_name)
        if solution is None:
            return {}
        return {uid: solution.nodes[uid] for uid in way_uids if uid in solution.nodes}

    def hot_solution(self, state_name: str) -> "Solution | None":
        """A state at the charging voltage."""
        return next((state.solution for state in self.hot if state.name == state_name), None)

    def low_solution(self, state_name: str) -> "Solution | None":
        """A state at a discharged battery; cranking at an old, cold one."""
        if state_name == CRANKING:
            return self.cranking.solution if self.cranking else None
        return next((state.solution for state in self.low if state.name == state_name), None)


def _named_apart(states: list[OperatingState]) -> list[OperatingState]:
    """Fittings may share a name: states may not."""
    taken: set[str] = set()
    found = []
    for state in states:
        name, number = state.name, 1
        while name in taken:
            number += 1
            name = f"{state.name} ({number})"
        taken.add(name)
        found.append(replace(state, name=name))
    return found


def _cranking_reason(basis: "Basis", flow: "SupplyFlow") -> Reason:
    return Reason(
        text="Voltage at an old, cold battery's terminals while the engine is cranked.",
        name="cranking_v",
        value=flow.terminal_v,
        unit="V",
        formula="source_v - current_a * supply_mohm / 1000",
        inputs={
            "source_v": basis.drop_at_v,
            "current_a": flow.current_a,
            "supply_mohm": basis.supply_mohm_old_cold,
        },
        source="DC solution of the loom, Kirchhoff's laws",
    )
