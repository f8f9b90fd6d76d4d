"""One function for each way that a need is controlled. Terminal numbers are DIN 72552's."""

from collections.abc import Callable
from dataclasses import dataclass, field

from webapp.sizing.load_current import LOAD_KINDS, load_current_a
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.proposal.builder import Builder, CannotPropose, Placed, uid_of
from webapp.stages.design.proposal.supply import BOARD_MOST_A, Supply
from webapp.stages.design.rows import Need

COIL_A = 0.35  # most that a small relay's coil takes at 6 V: common practice
HEAVY_LOAD_A = 22.5
SENDER_A = 5.0


@dataclass
class Group:
    """Needs that work from one control; the first is the one that the others name."""

    needs: list[Need]
    circuit_uid: str = ""
    loads: list[tuple[Need, Placed]] = field(default_factory=list)

    @property
    def leader(self) -> Need:
        return self.needs[0]

    @property
    def name(self) -> str:
        rest = [need.name for need in self.needs[1:]]
        return self.leader.name + (f" with {', '.join(rest)}" if rest else "")


class Patterns:
    def __init__(self, builder: Builder, supply: Supply) -> None:
        self.b = builder
        self.supply = supply
        self._key: Placed | None = None
        self._controls: dict[str, Callable[[Group], None]] = {
            "permanent": self._permanent,
            "switch": lambda group: self._contact(group, "switch"),
            "push button": lambda group: self._contact(group, "push button"),
            "pressure switch": lambda group: self._contact(group, "pressure switch"),
            "thermostat": lambda group: self._contact(group, "thermostat"),
            "float switch": lambda group: self._contact(group, "float switch"),
            "switch via relay": lambda group: self._relay(group, "switch"),
            "push button via relay": lambda group: self._relay(group, "push button"),
            "float switch with manual override": self._float_override,
            "key switch ignition": self._ignition,
            "key switch start": self._start,
            "start solenoid": self._starter,
            "self-parking switch": self._self_parking,
        }

    @property
    def known(self) -> frozenset[str]:
        return frozenset(self._controls)

    def check(self, group: Group) -> None:
        """Raises CannotPropose with the reason, before anything of the group is placed."""
        leader = group.leader
        control = leader.control.strip().lower()
        if control not in self._controls:
            raise CannotPropose(
                f"The proposal does not know the control “{leader.control}”: "
                f"enter {leader.name} by hand under Wires."
            )
        for need in group.needs[1:]:
            if need.control.strip().lower() != control:
                raise CannotPropose(
                    f"{need.name} says it works with {leader.name} but is controlled by "
                    f"“{need.control}”, not “{leader.control}”."
                )
        self._check_voltage(group)
        if control == "start solenoid" and (len(group.needs) > 1 or leader.quantity > 1):
            raise CannotPropose(f"{leader.name}: the proposal lays one starter cable, not several.")

    def meet_or_leave(self, group: Group) -> None:
        """Everything for one group of needs, or nothing of it, with the reason named."""
        standing, asked, key = self.b.checkpoint(), self.supply.checkpoint(), self._key
        try:
            self.check(group)
            self.meet(group)
        except CannotPropose as reason:
            self.b.go_back(standing)
            self.supply.go_back(asked)
            self._key = key
            self.b.refuse(str(reason), group.leader.uid)

    def meet(self, group: Group) -> None:
        """Everything for one group of needs."""
        leader = group.leader
        if leader.kind == "source":
            self._source(group)
            return
        self._controls[leader.control.strip().lower()](group)

    def _check_voltage(self, group: Group) -> None:
        nominal = self.b.inputs.nominal_v
        for need in group.needs:
            if not 0.7 * nominal <= need.rated_at_v <= 1.35 * nominal:
                raise CannotPropose(
                    f"{need.name} is rated at {need.rated_at_v:g} V and the loom is "
                    f"{nominal} V: it needs a converter, which the proposal does not choose."
                )

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

    def _begin(self, group: Group) -> None:
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
        control = need.control.strip().lower()
        amps = self.amps(need)
        if control == "self-parking switch":
            return self.b.part("load-wiper")
        if control == "start solenoid":
            return self.b.part("load-starter")
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

    def _ways(self, placed: Placed) -> tuple[str, str]:
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

    def _feeds(self, group: Group) -> list[str]:
        return [self._ways(placed)[0] for _, placed in group.loads]

    def _backs(self, group: Group) -> None:
        """The way back of every load: several of one need at one place share a wire."""
        by_need: dict[str, list[tuple[Need, Placed]]] = {}
        for need, placed in group.loads:
            by_need.setdefault(need.uid, []).append((need, placed))
        for uid, loads in by_need.items():
            need = loads[0][0]
            ways = [self._ways(placed)[1] for _, placed in loads]
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

    def _fused_way(self, group: Group, extra_a: float = 0.0) -> str:
        """Where this group's fuse-link lets current out: on the board, or beside the battery."""
        leader, amps = group.leader, self.total_a(group) + extra_a
        if any(need.before_isolator for need in group.needs):
            return self.supply.own_fuse(leader, group.circuit_uid, amps, before_isolator=True)
        if amps > BOARD_MOST_A or self.supply.single:
            return self.supply.own_fuse(leader, group.circuit_uid, amps, before_isolator=False)
        return self.supply.board_way(leader.uid, group.circuit_uid)

    def _control(self, group: Group, what: str, amps: float, words: str = "") -> Placed:
        leader = group.leader
        part = self.b.smallest(what, amps, what)
        place_uid = leader.control_place_uid or leader.place_uid
        name = f"{leader.name} {words or what}"
        return self.b.add_fitting(f"{leader.uid}/{what}", part, name, place_uid)

    def _permanent(self, group: Group) -> None:
        self._begin(group)
        lead = any(need.own_lead for need in group.needs)
        feeds = self._feeds(group)
        self.b.spread(
            f"{group.leader.uid}/feed",
            group.circuit_uid,
            self._fused_way(group),
            feeds,
            own_lead=lead and len(feeds) == 1,
        )
        self._backs(group)

    def _contact(self, group: Group, what: str) -> None:
        self._begin(group)
        leader = group.leader
        control = self._control(group, what, self.total_a(group))
        self.b.add_link(
            f"{leader.uid}/to control", group.circuit_uid, self._fused_way(group), control.way("in")
        )
        self.b.spread(
            f"{leader.uid}/feed", group.circuit_uid, control.way("out"), self._feeds(group)
        )
        self._backs(group)

    def _relay(self, group: Group, what: str) -> None:
        """Coil and contact side share the fuse-link; the relay stands beside the fuse board."""
        self._begin(group)
        leader, circuit = group.leader, group.circuit_uid
        control = self._control(group, what, COIL_A)
        part = self.b.smallest("relay", self.total_a(group), "relay")
        relay = self.b.add_fitting(
            f"{leader.uid}/relay", part, f"{leader.name} relay", self.supply.board_place_uid
        )
        self.b.spread(
            f"{leader.uid}/to control",
            circuit,
            self._fused_way(group, COIL_A),
            [relay.way("30"), control.way("in")],
        )
        self.b.add_link(f"{leader.uid}/coil", circuit, control.way("out"), relay.way("86"))
        self.supply.back(f"{leader.uid}/coil back", circuit, relay.way("85"))
        self.b.spread(f"{leader.uid}/feed", circuit, relay.way("87"), self._feeds(group))
        self._backs(group)

    def _float_override(self, group: Group) -> None:
        self._begin(group)
        leader, circuit = group.leader, group.circuit_uid
        amps = self.total_a(group)
        floating = self._control(group, "float switch", amps)
        second_place = leader.second_place_uid
        if second_place is None:
            second_place = self.supply.board_place_uid
            self.b.say(
                f"{leader.name}: no place is given for the manual override; it stands at "
                f"{self.b.place_name(second_place)}, beside the fuse board.",
                leader.uid,
            )
        override = self.b.add_fitting(
            f"{leader.uid}/override",
            self.b.smallest("switch", amps, "switch"),
            f"{leader.name} override",
            second_place,
        )
        self.b.spread(
            f"{leader.uid}/to control",
            circuit,
            self._fused_way(group),
            [floating.way("in"), override.way("in")],
        )
        joint = self.b.add_fitting(
            f"{leader.uid}/joint", self.b.part("splice-4-3"), "Splice", leader.place_uid
        )
        self.b.add_link(f"{leader.uid}/automatic", circuit, floating.way("out"), joint.way("2"))
        self.b.add_link(f"{leader.uid}/manual", circuit, override.way("out"), joint.way("3"))
        self.b.spread(f"{leader.uid}/feed", circuit, joint.way("1"), self._feeds(group))
        self._backs(group)

    def _self_parking(self, group: Group) -> None:
        self._begin(group)
        leader, circuit = group.leader, group.circuit_uid
        part = self.b.smallest("wiper switch", self.total_a(group), "wiper switch")
        place_uid = leader.control_place_uid or leader.place_uid
        control = self.b.add_fitting(
            f"{leader.uid}/switch", part, f"{leader.name} switch", place_uid
        )
        parks = [placed.way("53a") for _, placed in group.loads]
        self.b.spread(
            f"{leader.uid}/to control", circuit, self._fused_way(group), [control.way("in"), *parks]
        )
        runs = [placed.way("53") for _, placed in group.loads]
        self.b.spread(f"{leader.uid}/feed", circuit, control.way("run"), runs)
        self._backs(group)

    # Key switch

    @property
    def has_key(self) -> bool:
        return self._key is not None

    def key(self) -> Placed:
        """The one key switch of the loom, where the first need that asks for it says."""
        if self._key is None:
            asking = [
                need
                for need in self.b.inputs.need.values()
                if need.control.strip().lower().startswith("key switch")
            ]
            first = asking[0]
            place_uid = first.control_place_uid or first.place_uid
            circuit = self.b.add_circuit("key/circuit", "Key switch", "ignition", None)
            self._key = self.b.add_fitting(
                "key", self.b.part("key-switch"), "Key switch", place_uid
            )
            slot = self.supply.board_way("key", circuit)
            self.b.add_link("key/feed", circuit, slot, self._key.way("30"))
            for need in asking:
                if need.control_place_uid not in (None, place_uid):
                    self.b.say(
                        f"{need.name} names another place for the key switch: there is one key "
                        f"switch, at {self.b.place_name(place_uid)}.",
                        need.uid,
                    )
        return self._key

    def _ignition(self, group: Group) -> None:
        key = self.key()
        self._begin(group)
        leader, circuit = group.leader, group.circuit_uid
        slot = self.supply.ignition_way(leader.uid, circuit, key)
        if leader.kind == "sender":
            self._gauge(group, slot)
            return
        self.b.spread(f"{leader.uid}/feed", circuit, slot, self._feeds(group))
        self._backs(group)

    def _gauge(self, group: Group, slot: str) -> None:
        """A gauge at the control's place, its sender where the need sits."""
        leader, circuit = group.leader, group.circuit_uid
        gauge = self.b.add_fitting(
            f"{leader.uid}/gauge",
            self.b.part("gauge"),
            f"{leader.name} gauge",
            leader.control_place_uid or leader.place_uid,
            supplied_by="customer",
        )
        self.b.add_link(f"{leader.uid}/to gauge", circuit, slot, gauge.way("feed"))
        self.b.spread(f"{leader.uid}/feed", circuit, gauge.way("sender"), self._feeds(group))
        self.supply.back(f"{leader.uid}/gauge back", circuit, gauge.way("−"))
        self._backs(group)

    def _start(self, group: Group) -> None:
        key = self.key()
        leader = group.leader
        if key.way("50") in {link.from_way_uid for link in self.b.link.values()}:
            raise CannotPropose(
                f"{leader.name}: the key's start position works something else already; say that "
                f"they work together, or choose another control."
            )
        self._begin(group)
        circuit = group.circuit_uid
        live = key.way("50")
        if any(need.only_in_neutral for need in group.needs):
            neutral = self.b.add_fitting(
                f"{leader.uid}/neutral",
                self.b.smallest("neutral switch", self.total_a(group), "neutral switch"),
                "Gearbox neutral switch",
                leader.place_uid,
            )
            self.b.add_link(f"{leader.uid}/to neutral", circuit, live, neutral.way("in"))
            live = neutral.way("out")
        self.b.spread(f"{leader.uid}/feed", circuit, live, self._feeds(group))
        self._backs(group)

    def _starter(self, group: Group) -> None:
        """The starter cable has no fuse-link: the only wire for which that holds."""
        self._begin(group)
        for number, (need, placed) in enumerate(group.loads, start=1):
            origin = f"{need.uid}/starter/{number}"
            self.supply.switched.add(
                f"{origin}/feed", group.circuit_uid, placed.way("30"), starter=True
            )
            self.supply.heavy_back(
                f"{origin}/back", group.circuit_uid, placed.way("31"), starter=True
            )
        self.b.say(
            f"{group.leader.name}: its cable has no fuse-link, the only wire for which that is "
            f"allowed. Keep it short, clear of edges and in a covering of its own.",
            group.leader.uid,
        )

    # Charging

    def _source(self, group: Group) -> None:
        """A charging source feeds the battery through a fuse-link at the battery's end."""
        need = group.leader
        if not self.b.feed_is_positive:
            raise CannotPropose(
                f"{need.name}: a charging source on a positive-earth loom is not proposed; "
                f"enter it by hand once its maker's diagram is at hand."
            )
        wants_field = any(other.to_field_terminal for other in self.b.inputs.need.values())
        alternator = wants_field or "alternator" in need.name.lower()
        group.circuit_uid = self.b.add_circuit(
            f"{need.uid}/circuit", need.name, need.service or "charge", need.uid
        )
        for number in range(1, need.quantity + 1):
            self._one_source(group, need, number, alternator=alternator)

    def _one_source(self, group: Group, need: Need, number: int, *, alternator: bool) -> None:
        ways = {"D+": uid_of("alternator/field")} if alternator and number == 1 else None
        name = need.name if need.quantity == 1 else f"{need.name} {number}"
        placed = self.b.add_fitting(
            f"{need.uid}/source/{number}",
            self.b.part("load-alternator" if alternator else "load-source"),
            name,
            need.place_uid,
            need_uid=need.uid,
            supplied_by="customer",
            ways=ways,
        )
        amps = self.amps(need) / 0.75
        holder = self.b.add_fitting(
            f"{need.uid}/charge fuse/{number}",
            self.supply.holder(amps),
            f"{name} fuse",
            self.supply.place_uid,
        )
        origin = f"{need.uid}/charge/{number}"
        self.supply.feed_pole.add(f"{origin}/battery", group.circuit_uid, holder.way("in"))
        plus = placed.way("B+" if alternator else "+")
        self.b.add_link(f"{origin}/cable", group.circuit_uid, holder.way("out"), plus)
        self.supply.heavy_back(f"{origin}/back", group.circuit_uid, placed.way("−"), starter=False)
