"""One load's way through the loom in one operating state, step by step.

The way begins at the supply's pole that is fused and ends at the return, so on positive earth the
volts are below nought and rise to it, and current is counted the way that one walks.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from webapp.sizing.paths import POSITIVE, Edge, Graph, LoadPath
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.figures import Figures
from webapp.stages.design.following import reasons
from webapp.stages.design.following.naming import Naming
from webapp.stages.design.following.steps import (
    AT_HEAT,
    BACK,
    JOINT,
    LOAD,
    OUT,
    SUPPLY,
    WIRE,
    Branch,
    Followed,
    Step,
)
from webapp.stages.design.following.warmth import StateWarmth
from webapp.stages.design.operating import OperatingState
from webapp.stages.design.rows import Bridge, Link
from webapp.stages.design.wires import Wire, wires_of_link

if TYPE_CHECKING:
    from webapp.sizing.network import Solution

NOTHING_A = 1e-9


def follow(figures: Figures, load_uid: str, state_name: str, at: str) -> Followed:
    """Follow a load's current in the state of this name, at the charging voltage (`heat`) or at a
    discharged battery (`drop`). Where there is nothing to follow, `trouble` says why."""
    load = figures.loads.get(load_uid)
    state = figures.operating.state(state_name)
    if load is None or not load.path.complete:
        return Followed(trouble="It does not hang on the supply, out and back: join its wires.")
    if load.path.charging:
        return Followed(trouble="It is fed only while a machine charges; no battery feeds it.")
    if state is None or load.uid not in {each.uid for each in state.on}:
        return Followed(trouble=f"{load.name} is off in this state.")
    operating = figures.operating
    solved = operating.hot_solution if at == AT_HEAT else operating.low_solution
    solution = solved(state_name)
    if solution is None:
        return Followed(trouble=operating.trouble or "The loom cannot be solved in this state.")
    if load.uid not in solution.loads:
        return Followed(trouble="It takes no current: give its rating.")
    return _Walk(figures, load, state, solution).followed()


@dataclass(frozen=True)
class _Passed:
    """An edge with the nodes between which it is passed."""

    edge: Edge
    start: str
    end: str


class _Walk:
    def __init__(
        self,
        figures: Figures,
        load: LoadFigures,
        state: OperatingState,
        solution: "Solution",
    ) -> None:
        circuitry = figures.circuitry
        self.figures = figures
        self.design = figures.design
        self.load = load
        self.solution = solution
        self.graph: Graph = circuitry.graph.without(state.open) if state.open else circuitry.graph
        self.path: LoadPath = next(
            each for each in circuitry.paths_in(self.graph) if each.load_uid == load.uid
        )
        self.supply: Bridge = circuitry.supplies[self.path.supply]
        self.sign = 1.0 if circuitry.feed_pole == POSITIVE else -1.0
        self.feed_node = circuitry.feed_node(self.supply)
        poles = {self.supply.way_a_uid, self.supply.way_b_uid}
        (self.return_node,) = poles - {self.feed_node}
        self.warmth = StateWarmth(figures, state, solution)
        self.naming = Naming(figures, [each.uid for each in state.on])

    def followed(self) -> Followed:
        out = self._passed(tuple(reversed(self.path.feed or ())), self.feed_node)
        load_from = out[-1].end if out else self.feed_node
        load_to = self._other_way(load_from)
        back = self._passed(self.path.back or (), load_to)
        steps = [
            self._supply_step(OUT, self.feed_node),
            *self._steps(OUT, out),
            self._load_step(load_to),
            *self._steps(BACK, back),
            self._supply_step(BACK, self.return_node),
        ]
        steps = self._with_joints_c(self._with_forks(steps, out, back, load_to))
        flow = self.solution.loads[self.load.uid]
        return Followed(
            steps=tuple(steps),
            supply_v=abs(self._volts(self.feed_node)),
            load_v=abs(flow.voltage_v),
            load_a=abs(flow.current_a),
            lost_wires_v=sum(step.lost_v for step in steps if step.kind == WIRE),
            lost_joints_v=sum(step.lost_v for step in steps if step.kind == JOINT),
            reasons=reasons.load_takes(self.load, abs(self._volts(self.feed_node))),
        )

    # The way

    def _passed(self, uids: Sequence[str], node: str) -> list[_Passed]:
        found = []
        for uid in uids:
            edge = self.graph.edges[uid]
            other = edge.b if edge.a == node else edge.a
            found.append(_Passed(edge, node, other))
            node = other
        return found

    def _other_way(self, way_uid: str) -> str:
        bridge = self.load.bridge
        return bridge.way_b_uid if way_uid == bridge.way_a_uid else bridge.way_a_uid

    # Figures

    def _volts(self, node: str) -> float:
        return self.solution.nodes[node] - self.solution.nodes[self.return_node]

    def _amps(self, passed: _Passed) -> float:
        along = 1.0 if passed.edge.a == passed.start else -1.0
        return self.sign * along * self.solution.wires[passed.edge.uid].current_a

    def _lost_v(self, passed: _Passed) -> float:
        return self.sign * (self._volts(passed.start) - self._volts(passed.end))

    # Steps

    def _supply_step(self, leg: str, node: str) -> Step:
        flow = self.solution.supplies[self.supply.uid]
        return Step(
            kind=SUPPLY,
            leg=leg,
            uid=self.supply.uid,
            words=self.naming.point(node),
            end_uid=node,
            end_words=self.naming.point(node),
            amps=flow.current_a,
            lost_v=0.0,
            volts=self._volts(node),
            fitting_uid=self.supply.fitting_uid,
        )

    def _load_step(self, node: str) -> Step:
        flow = self.solution.loads[self.load.uid]
        return Step(
            kind=LOAD,
            leg=LOAD,
            uid=self.load.uid,
            words=self.load.name,
            end_uid=node,
            end_words=self.naming.point(node),
            amps=abs(flow.current_a),
            lost_v=abs(flow.voltage_v),
            volts=self._volts(node),
            reasons=reasons.load_takes(self.load, abs(self._volts(self.feed_node))),
            fitting_uid=self.load.bridge.fitting_uid,
        )

    def _steps(self, leg: str, passed: list[_Passed]) -> Iterator[Step]:
        for before, each in pairwise([None, *passed]):
            assert each is not None
            if before is not None and before.edge.kind == each.edge.kind == "wire":
                yield self._meeting(leg, each.start, self._amps(each))
            if each.edge.kind == "wire":
                yield from self._wires(leg, each)
            else:
                yield self._inside(leg, each)

    def _meeting(self, leg: str, node: str, amps: float) -> Step:
        """Two wires in one stud, splice or way: nothing lies between them."""
        return Step(
            kind=JOINT,
            leg=leg,
            uid=node,
            words=f"{self.naming.point(node)}: the wires meet there",
            end_uid=node,
            end_words=self.naming.point(node),
            amps=amps,
            lost_v=0.0,
            volts=self._volts(node),
            fitting_uid=self.naming.fitting_uid(node),
        )

    def _inside(self, leg: str, passed: _Passed) -> Step:
        edge, amps, lost_v = passed.edge, self._amps(passed), self._lost_v(passed)
        ohm = abs(lost_v / amps) if abs(amps) > NOTHING_A else 0.0
        if edge.kind == "fuse":
            ohm = self.figures.operating.edge_ohm(edge)
        return Step(
            kind=JOINT,
            leg=leg,
            uid=edge.uid,
            words=self.naming.inside(edge, passed.start, passed.end),
            end_uid=passed.end,
            end_words=self.naming.point(passed.end),
            amps=amps,
            lost_v=lost_v,
            volts=self._volts(passed.end),
            reasons=(
                *reasons.inside_lost(edge, amps, lost_v, ohm),
                reasons.volts(self._volts(passed.start), lost_v, falling=self.sign > 0),
            ),
            fitting_uid=self.naming.fitting_uid(passed.end),
        )

    def _wires(self, leg: str, passed: _Passed) -> Iterator[Step]:
        """The wires that plugs cut a link into, with the plugs between them."""
        link = self.design.link[passed.edge.uid]
        cut = self._cut(link, backwards=passed.start == link.to_way_uid)
        lengths = [wire.length_mm or 0 for wire in cut]
        whole_mm = sum(lengths)
        whole_v, amps = self._lost_v(passed), self._amps(passed)
        warm = self.warmth.hottest(link)
        before_v = self._volts(passed.start)
        for index, wire in enumerate(cut):
            share = lengths[index] / whole_mm if whole_mm else 1 / len(cut)
            lost_v = whole_v * share
            after_v = before_v - self.sign * lost_v
            if index:
                yield self._plug(leg, cut[index - 1], wire, amps, before_v)
            ohm = abs(whole_v / amps) if abs(amps) > NOTHING_A else 0.0
            end = wire.right.way_uid or passed.end
            yield Step(
                kind=WIRE,
                leg=leg,
                uid=wire.uid,
                words=f"Wire {wire.number}",
                    end_uid=end,
                end_words=self.naming.point(end),
                amps=amps,
                lost_v=lost_v,
                volts=after_v,
                temperature_c=warm.temperature_c if warm else None,
                reasons=(
                    *reasons.wire_lost(
                        self.figures.conductor(link), amps, ohm, whole_mm / 1000,
                        lengths[index] / 1000,
                    ),
                    reasons.volts(before_v, lost_v, falling=self.sign > 0),
                    *(warm.reasons if warm else ()),
                ),
                wire=wire,
            )  # fmt: skip
            before_v = after_v

    def _cut(self, link: Link, *, backwards: bool) -> list[Wire]:
        crossings = [each for each in self.design.crossing.values() if each.link_uid == link.uid]
        cut = wires_of_link(self.design, link, crossings)
        if not backwards:
            return cut
        return [replace(wire, left=wire.right, right=wire.left) for wire in reversed(cut)]

    def _plug(self, leg: str, before: Wire, after: Wire, amps: float, volts: float) -> Step:
        a, b = before.right.way_uid or "", after.left.way_uid or ""
        return Step(
            kind=JOINT,
            leg=leg,
            uid=f"{before.uid}|{after.uid}",
            words=f"{self.naming.point(a)} mates with {self.naming.point(b)}",
            end_uid=b,
            end_words=self.naming.point(b),
            amps=amps,
            lost_v=0.0,
            volts=volts,
            fitting_uid=self.naming.fitting_uid(a),
        )

    # What meets the way, and how warm its joints are

    def _with_forks(
        self, steps: list[Step], out: list[_Passed], back: list[_Passed], load_to: str
    ) -> list[Step]:
        """The branches at the end of each step that ends at a node of the network; where two steps
        end at one node, they stand with the latter."""
        own = {each.edge.uid for each in (*out, *back)} | {self.load.uid, self.supply.uid}
        ends = [self.feed_node, *(each.end for each in out), load_to, *(each.end for each in back)]
        at = {node: self._branches(node, own) for node in ends}
        marked = list(steps)
        for index, (step, following) in enumerate(pairwise(steps)):
            if following.end_uid == step.end_uid or not at.get(step.end_uid):
                continue
            forks = at[step.end_uid]
            marked[index] = replace(marked[index], forks=forks)
            why = reasons.divided(step.amps, forks)
            marked[index + 1] = replace(following, reasons=(*why, *following.reasons))
        return [*marked[:-1], replace(marked[-1], forks=at[self.return_node])]

    def _branches(self, node: str, own: set[str]) -> tuple[Branch, ...]:
        found = [
            Branch(edge.uid, self.naming.branch(edge, node), amps)
            for edge in self.graph.at.get(node, ())
            if edge.uid not in own and abs(amps := self._leaving(edge, node)) > NOTHING_A
        ]
        return tuple(sorted(found, key=lambda branch: -abs(branch.amps)))

    def _leaving(self, edge: Edge, node: str) -> float:
        """What an edge takes away from a node, by the direction in which one walks. [A]"""
        if edge.uid in self.solution.wires:
            out = self.solution.wires[edge.uid].current_a
            return self.sign * (out if edge.a == node else -out)
        if edge.uid in self.solution.loads:
            flow = self.solution.loads[edge.uid]
            # A load takes from its side of higher voltage.
            other = edge.b if edge.a == node else edge.a
            higher = self.solution.nodes[node] >= self.solution.nodes[other]
            return self.sign * (abs(flow.current_a) if higher else -abs(flow.current_a))
        if edge.uid in self.solution.supplies:
            given = self.solution.supplies[edge.uid].current_a
            return self.sign * (-given if edge.a == node else given)
        return 0.0

    def _with_joints_c(self, steps: list[Step]) -> list[Step]:
        """Joints are as warm as the wires next to them on the way."""
        known = [step.temperature_c if step.kind == WIRE else None for step in steps]
        found = []
        for index, step in enumerate(steps):
            if step.kind != JOINT:
                found.append(step)
                continue
            before = next((c for c in reversed(known[:index]) if c is not None), None)
            after = next((c for c in known[index + 1 :] if c is not None), None)
            warm = max((c for c in (before, after) if c is not None), default=None)
            if warm is not None:
                step = replace(
                    step, temperature_c=warm, reasons=(*step.reasons, reasons.joint_c(warm))
                )
            found.append(step)
        return found
