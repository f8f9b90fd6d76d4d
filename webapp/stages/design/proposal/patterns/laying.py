"""What every pattern lays: the loads, the ways back, the fused way, the part that is worked."""

from webapp.sizing.load_current import LOAD_KINDS, load_current_a
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.controls import control_of
from webapp.stages.design.proposal.builder import Builder, CannotPropose, Placed, uid_of
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.supply import BOARD_MOST_A, Supply
from webapp.stages.design.rows import Need

HEAVY_LOAD_A = 22.5
SENDER_A = 5.0
SPECIAL_LOADS = {"self-parking": "load-wiper", "starter": "load-starter"}


class Laying:
    """One proposal's builder and supply, and what the patterns share."""

    def __init__(self, builder: Builder, supply: Supply) -> None:
        self.b = builder
        self.supply = supply

    # Loads

    def amps(self, need: Need) -> float:
        """Current of one of them at charging voltage."""
        kind = need.kind if need.kind in LOAD_KINDS else "resistive"
        return load_current_a(
            kind,
            rating=need.rating,
            rating_unit=need.rating_unit,
            rated_at_v=need.rated_at_v,
            voltage_v=self.b.inputs.basis.heat_at_v,
        ).value

    def total_a(self, group: Group) -> float:
        return sum(self.amps(need) * need.quantity for need in group.needs)

    def begin(self, group: Group) -> None:
        leader = group.leader
        origin = f"{leader.uid}/circuit"
        group.circuit_uid = self.b.add_circuit(origin, group.name, leader.service, leader.uid)
        for need in group.needs:
            for number in range(1, need.quantity + 1):
                name = need.name if need.quantity == 1 else f"{need.name} {number}"
                placed = self.b.add_fitting(
                    f"{need.uid}/load/{number}",
                    self.load_part(need),
                    name,
                    need.place_uid,
                    need_uid=need.uid,
                    supplied_by="customer",
                )
                group.loads.append((need, placed))
        self._warn_polarised(group)

    def _warn_polarised(self, group: Group) -> None:
        if self.b.feed_is_positive:
            return
        for need in group.needs:
            if need.kind in ("electronics", "led", "source"):
                self.b.say(
                    f"{need.name} minds its polarity: on this positive-earth loom its − goes to "
                    f"the fused feed and its + to earth. Check that its case is not joined to −.",
                    need.uid,
                )

    def load_part(self, need: Need) -> CatalogPart:
        control, amps = control_of(need.control), self.amps(need)
        if control and control.pattern in SPECIAL_LOADS:
            return self.b.part(SPECIAL_LOADS[control.pattern])
        if need.kind == "sender" and amps <= SENDER_A:
            return self.b.part("load-sender")
        if amps > HEAVY_LOAD_A:
            return self.b.part("load-heavy")
        if need.kind in ("lamp", "led"):
            return self.b.part("load-lamp")
        if need.kind == "electronics":
            return self.b.part("load-electronics")
        if need.kind == "motor":
            return self.b.part("load-pump" if need.service == "pump" else "load-motor")
        return self.b.part("load-resistive")

    def ways(self, placed: Placed) -> tuple[str, str]:
        """The load's way towards the feed, and its way back."""
        bridge = next(
            bridge
            for bridge in self.b.bridge.values()
            if bridge.fitting_uid == placed.uid and bridge.kind == "load"
        )
        ends = (bridge.way_a_uid, bridge.way_b_uid)
        labels = {self.b.way[uid].label for uid in ends}
        polar = "+" in labels
        return ends if self.b.feed_is_positive or not polar else (ends[1], ends[0])

    def feeds(self, group: Group) -> list[str]:
        return [self.ways(placed)[0] for _, placed in group.loads]

    def backs(self, group: Group) -> None:
        """The way back of every load: several of one need at one place share a wire."""
        by_need: dict[str, list[tuple[Need, Placed]]] = {}
        for need, placed in group.loads:
            by_need.setdefault(need.uid, []).append((need, placed))
        for uid, loads in by_need.items():
            need = loads[0][0]
            ways = [self.ways(placed)[1] for _, placed in loads]
            if need.to_field_terminal:
                self._to_field(group, need, ways)
            elif len(ways) == 1:
                self._one_back(f"{uid}/back", group.circuit_uid, ways[0], self.amps(need))
            elif need.quantity * self.amps(need) <= BOARD_MOST_A:
                self._joined_back(f"{uid}/back", group.circuit_uid, ways, need.place_uid)
            else:
                for number, way in enumerate(ways, start=1):
                    self._one_back(f"{uid}/back/{number}", group.circuit_uid, way, self.amps(need))

    def _one_back(self, origin: str, circuit_uid: str, way: str, amps: float) -> None:
        if amps > HEAVY_LOAD_A:
            self.supply.heavy_back(origin, circuit_uid, way, starter=False)
        else:
            self.supply.back(origin, circuit_uid, way)

    def _joined_back(self, origin: str, circuit_uid: str, ways: list[str], place_uid: str) -> None:
        """Returns of lamps in pairs and fours meet at a splice; of more, at splices of four."""
        for start in range(0, len(ways), 4):
            some = ways[start : start + 4]
            here = f"{origin}/{start}"
            if len(some) == 1:
                self.supply.back(here, circuit_uid, some[0])
                continue
            splice = self.b.add_fitting(
                f"{here}/splice", self.b.part(f"splice-4-{len(some) + 1}"), "Splice", place_uid
            )
            for number, way in enumerate(some, start=2):
                self.b.add_link(f"{here}/{number}", circuit_uid, way, splice.way(str(number)))
            self.supply.back(here, circuit_uid, splice.way("1"))

    def _to_field(self, group: Group, need: Need, ways: list[str]) -> None:
        field_way = uid_of("alternator/field")
        if field_way not in self.b.way:
            raise CannotPropose(
                f"{need.name} goes to an alternator's field terminal, and no need is an alternator."
            )
        for number, way in enumerate(ways, start=1):
            self.b.add_link(f"{need.uid}/field/{number}", group.circuit_uid, way, field_way)

    # Controls

    def fused_way(self, group: Group, extra_a: float = 0.0) -> str:
        """Where this group's fuse-link lets current out: on the board, or beside the battery."""
        leader, amps = group.leader, self.total_a(group) + extra_a
        if any(need.before_isolator for need in group.needs):
            return self.supply.own_fuse(leader, group.circuit_uid, amps, before_isolator=True)
        if amps > BOARD_MOST_A or self.supply.single:
            return self.supply.own_fuse(leader, group.circuit_uid, amps, before_isolator=False)
        return self.supply.board_way(leader.uid, group.circuit_uid)

    def control(self, group: Group, what: str, amps: float, words: str = "") -> Placed:
        leader = group.leader
        part = self.b.smallest(what, amps, what)
        place_uid = leader.control_place_uid or leader.place_uid
        name = f"{leader.name} {words or what}"
        return self.b.add_fitting(f"{leader.uid}/{what}", part, name, place_uid)
