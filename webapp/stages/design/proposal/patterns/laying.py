"""What every pattern lays: the circuit and its loads, the fused feed, the part that is worked."""

from webapp.sizing.contacts import CONTACT_LOADS, contact_rating_a
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.controls import ALWAYS, SECOND_BATTERY
from webapp.stages.design.proposal.builder import Builder, CannotPropose, Placed
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.key_switch import TERMINALS, key_switch
from webapp.stages.design.proposal.patterns.loads import (
    COIL_A,
    load_a,
    load_part,
    load_ways,
    warn_polarised,
)
from webapp.stages.design.proposal.sharing import Sharing
from webapp.stages.design.proposal.supply import BOARD_MOST_A, Supply
from webapp.stages.design.rows import Need


class Laying:
    """One proposal's builder and supply, and what the patterns share."""

    def __init__(self, builder: Builder, supply: Supply, sharing: Sharing) -> None:
        self.b = builder
        self.supply = supply
        self.sharing = sharing

    # Loads

    def amps(self, need: Need) -> float:
        """Current of one of them at charging voltage."""
        return load_a(self.b, need)

    def total_a(self, needs: list[Need]) -> float:
        return sum(self.amps(need) * need.quantity for need in needs)

    def fed_a(self, group: Group) -> float:
        """What its control passes: of a change-over the side that takes more, a relay's coil."""
        if group.pattern == "relay":
            return COIL_A * max(1, group.leader.feeds)
        if group.pattern in ("change-over", "flasher"):
            return max(self.total_a(side) for side in group.sides)
        return self.total_a(group.needs)

    def switchgear(self, group: Group, what: str, amps: float) -> CatalogPart:
        """The smallest part whose contact is rated for what it switches; where the catalogue has
        none, the smallest that carries the current."""
        rated = self.b.catalogue.what(what)
        wanted = amps * self._rating_share(group)
        return next((part for part in rated if part.number("max_a") >= wanted), None) or (
            self.b.smallest(what, amps, what)
        )

    def _rating_share(self, group: Group) -> float:
        """What a contact is rated for over the current that passes it: of coils, or the loads."""
        volts = float(self.b.inputs.nominal_v)
        if group.pattern == "relay":
            return contact_rating_a("coil", load_a=1.0, system_voltage_v=volts).value
        return self.load_rating_share(group)

    def load_rating_share(self, group: Group) -> float:
        volts = float(self.b.inputs.nominal_v)
        return max(
            contact_rating_a(
                need.kind if need.kind in CONTACT_LOADS else "resistive",
                load_a=1.0,
                system_voltage_v=volts,
            ).value
            for need in group.needs
        )

    def begin(self, group: Group) -> None:
        """The circuit, and a load for each piece of each need."""
        origin = f"{group.uid}/circuit"
        group.circuit_uid = self.b.add_circuit(
            origin, group.name, group.leader.service, group.leader.uid
        )
        for need in group.needs:
            for number in range(1, need.quantity + 1):
                name = need.name if need.quantity == 1 else f"{need.name} {number}"
                placed = self.b.add_fitting(
                    f"{need.uid}/load/{number}",
                    load_part(self.b, need),
                    name,
                    need.place_uid,
                    need_uid=need.uid,
                    supplied_by="customer",
                )
                group.loads.append((need, placed))
        warn_polarised(self.b, group.needs)

    def feeds(self, group: Group, needs: list[Need] | None = None) -> list[str]:
        """The ways of the loads towards the feed: of all, or of these needs alone."""
        wanted = group.needs if needs is None else needs
        return [load_ways(self.b, placed)[0] for need, placed in group.loads if need in wanted]

    def shares(self, group: Group) -> list[list[str]]:
        """The loads' ways divided over as many feeds as were asked for."""
        ways, feeds = self.feeds(group), group.leader.feeds
        count = max(1, min(feeds, len(ways)))
        return [ways[start::count] for start in range(count)]

    def feed_loads(
        self, group: Group, from_way: str, *, needs: list[Need] | None = None, side: str = ""
    ) -> None:
        """From the last way that is switched to the loads: all, or those of one side."""
        origin = f"{group.uid}/feed{side and f' {side}'}"
        served = group.needs if needs is None else needs
        ways = self.feeds(group, served)
        if group.leader.feeds > 1 and not side:
            ways = self._from_control(group, origin, from_way, ways)
        self.b.spread(origin, group.circuit_uid, from_way, ways)
        self.note_fed(group, origin, served)

    def note_fed(self, group: Group, origin: str, needs: list[Need] | None = None) -> None:
        """What is lit with these needs through a diode may be joined here, unless always live."""
        always = group.live_when == ALWAYS and group.pattern == "permanent"
        if not always and origin in self.b.spreads:
            self.b.fed |= {need.uid: origin for need in needs or group.needs}

    def _from_control(self, group: Group, origin: str, from_way: str, ways: list[str]) -> list[str]:
        """Feeds side by side from one control: each to its share of the loads.

        Returns the way that the control's wire goes to.
        """
        if len(ways) == 1:
            return [self.side_by_side(group, origin, ways[0], self.b.place_of(from_way))]
        shares = self.shares(group)
        near = self._splice(f"{origin}/near", 1 + len(shares), self.b.place_of(from_way))
        for number, share in enumerate(shares, start=2):
            self.b.spread(f"{origin}/{number}", group.circuit_uid, near.way(str(number)), share)
        return [near.way("1")]

    def side_by_side(self, group: Group, origin: str, way: str, from_place_uid: str = "") -> str:
        """Wires side by side to one load, between two splices; returns the way to feed."""
        count = group.leader.feeds
        here = from_place_uid or self.supply.board_place_uid
        near = self._splice(f"{origin}/near", 1 + count, here)
        far = self._splice(f"{origin}/far", 1 + count, self.b.place_of(way))
        for number in range(2, 2 + count):
            self.b.add_link(
                f"{origin}/{number}",
                group.circuit_uid,
                near.way(str(number)),
                far.way(str(number)),
            )
        self.b.add_link(f"{origin}/load", group.circuit_uid, far.way("1"), way)
        return near.way("1")

    def _splice(self, origin: str, wires: int, place_uid: str) -> Placed:
        part = self.b.part(f"splice-4-{max(3, wires)}")
        return self.b.add_fitting(f"{origin} splice", part, "Splice", place_uid)

    def neutral_switch(self, group: Group) -> Placed:
        """A switch on the gearbox, closed in neutral."""
        return self.b.add_fitting(
            f"{group.uid}/neutral",
            self.b.smallest("neutral switch", self.fed_a(group), "neutral switch"),
            "Gearbox neutral switch",
            group.leader.place_uid,
        )

    def neutral_after(self, group: Group, way: str, circuit_uid: str = "") -> str:
        """Through the gearbox's neutral switch where the needs ask for it; else the way itself."""
        if not group.only_in_neutral:
            return way
        switch = self.neutral_switch(group)
        circuit = circuit_uid or group.circuit_uid
        self.b.add_link(f"{group.uid}/to neutral", circuit, way, switch.way("in"))
        return switch.way("out")

    # The fused feed, and what is worked

    def fused(
        self,
        group: Group,
        targets: list[str],
        *,
        amps: float,
        origin: str = "to control",
        wire: str = "",
        side: str = "",
        circuit_uid: str = "",
        live_when: str = "",
        own_lead: bool = False,
    ) -> None:
        """Lead these ways to a fuse-link: one of their own, or one shared with others near by.

        `side` tells several fuse-links of one group apart.
        """
        circuit = circuit_uid or group.circuit_uid
        live_when = live_when or group.live_when
        share = self.sharing.share_of(group, side)
        if share is not None:
            self.sharing.join(share, circuit, targets)
            return
        self.b.spread(
            f"{group.uid}/{origin}",
            circuit,
            self._fused_way(group, circuit, amps, side, live_when),
            targets,
            own_lead=own_lead,
            wire=wire and f"{group.uid}/{wire}",
        )

    def _fused_way(
        self, group: Group, circuit_uid: str, amps: float, side: str, live_when: str
    ) -> str:
        """Where a fuse-link lets current out: behind the key, on the board, beside the battery."""
        owner = f"{group.uid}{side and f' {side}'}"
        if live_when in TERMINALS:
            return self._key_way(group, owner, circuit_uid, amps, live_when)
        if live_when == SECOND_BATTERY:
            return self.supply.second_way(group.leader, owner, circuit_uid, amps)
        before = group.before_isolator
        if before or amps > BOARD_MOST_A or self.supply.single:
            return self.supply.own_fuse(
                group.leader, circuit_uid, amps, before_isolator=before, side=side
            )
        return self.supply.board_way(owner, circuit_uid)

    def _key_way(
        self, group: Group, owner: str, circuit_uid: str, amps: float, live_when: str
    ) -> str:
        leader = group.leader
        if group.before_isolator:
            raise CannotPropose(
                f"{leader.name} is to be live before the isolator and only with the key at "
                f"{live_when}: choose one of the two."
            )
        if amps > BOARD_MOST_A:
            raise CannotPropose(
                f"{leader.name} takes {amps:.3g} A, more than a position of the key switch feeds "
                f"here ({BOARD_MOST_A:g} A): control it via relay."
            )
        return self.supply.key_way(
            owner, circuit_uid, key_switch(self.b, self.supply), TERMINALS[live_when]
        )

    def control(
        self, group: Group, what: str, amps: float, *, words: str = "", place_uid: str = ""
    ) -> Placed:
        part = self.switchgear(group, what, amps)
        name = f"{group.leader.name} {words or what}"
        origin = f"{group.uid}/{words or what}"
        return self.b.add_fitting(origin, part, name, place_uid or group.place_uid)
