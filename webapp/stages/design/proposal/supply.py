"""The supply side: battery, isolator, main fuse-link, fuse boards, return bars, earth studs.

Patterns ask here for a fused way (`board_way`, `own_fuse`) and for a way back (`back`). What they
asked for decides, in `finish`, which boards and bars are fitted and where.
"""

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.proposal.builder import Builder, CannotPropose, Placed, Tap, uid_of
from webapp.stages.design.rows import Need

POLE_TAKES = 3
BOARD_WAYS = 12
BAR_STUDS = 20
EARTH_STUD_TAKES = 4
# Above this a load gets a fuse-link of its own beside the battery, not a way of the board.
BOARD_MOST_A = 22.5
# What stands behind the key switch's terminals (DIN 72552).
KEY_BOARDS = {"15": "ignition", "75": "accessory"}


@dataclass(frozen=True)
class FuseKinds:
    """Which families of fuse-links stand beside the battery and on the boards."""

    board: str = "blade-medium"
    small_at_battery: str = "blade-medium"
    large_at_battery: str = "bolt-down"


@dataclass
class Slot:
    """A way of a fuse board that was promised before the board is fitted."""

    way_uid: str
    circuit_uid: str


@dataclass
class Second:
    """A second battery: its poles, and the fused ways that were promised beside it."""

    feed_pole: Tap
    return_pole: Tap
    slots: list[Slot] = field(default_factory=list)

    @property
    def place_uid(self) -> str:
        return self.feed_pole.place_uid


class Supply:
    def __init__(
        self,
        builder: Builder,
        kinds: FuseKinds,
        *,
        has_starter: bool,
        single: bool,
        meter_need: Need | None = None,
    ) -> None:
        self.b = builder
        # One circuit alone needs no board: its fuse-link stands beside the battery.
        self.single = single
        self.kinds = kinds
        self.has_starter = has_starter
        self.place_uid = self._supply_place()
        self.board_place_uid = self._board_place()
        self.slots: list[Slot] = []
        # Behind the key switch, by its terminal.
        self.key_slots: dict[str, list[Slot]] = {terminal: [] for terminal in KEY_BOARDS}
        self.returns: list[tuple[str, str, str]] = []
        self.main_circuit = builder.add_circuit("supply/circuit", "Supply", "positive", None)
        battery = builder.add_fitting(
            "supply", builder.part("supply"), "Battery", self.place_uid, supplied_by="customer"
        )
        feed, back = ("+", "−") if builder.feed_is_positive else ("−", "+")
        self.feed_pole = Tap(battery.way(feed), self.place_uid, "battery feed")
        self.return_pole = Tap(battery.way(back), self.place_uid, "battery return")
        self.main_stands = False
        self.switched = self._isolator()
        self.meter_need = meter_need
        self.meter: Placed | None = None
        # Where all but the starter leaves from, and where the boards do.
        self.fed = self._ammeter()
        self.boards_from = self.fed
        self.second: Second | None = None

    # Places

    def _supply_place(self) -> str:
        basis = self.b.inputs.basis
        if basis.supply_place_uid in self.b.inputs.place:
            return basis.supply_place_uid
        raise CannotPropose("Say at which place the battery sits: it is not given yet.")

    def _board_place(self) -> str:
        basis = self.b.inputs.basis
        if basis.fuse_board_place_uid in self.b.inputs.place:
            return basis.fuse_board_place_uid
        controls = Counter(
            need.control_place_uid or need.place_uid
            for need in self.b.inputs.need.values()
            if need.kind != "source"
        )
        if not controls:
            return self.place_uid
        most = max(controls.values())
        order = list(self.b.inputs.place)
        chosen = min((uid for uid, count in controls.items() if count == most), key=order.index)
        if self.single:
            return chosen
        self.b.say(
            f"The fuse board stands at {self.b.place_name(chosen)}, where {most} of "
            f"{sum(controls.values())} needs are controlled."
        )
        return chosen

    def _isolator(self) -> Tap:
        """Where switched feeds leave from. Without a starter the main fuse-link comes first."""
        place_uid = self.b.inputs.basis.isolator_place_uid
        if place_uid is None:
            return self.feed_pole
        isolator = self.b.add_fitting(
            "isolator", self.b.part("isolator"), "Battery isolator", place_uid
        )
        if self.has_starter:
            self.feed_pole.add("isolator/feed", self.main_circuit, isolator.way("in"), starter=True)
        else:
            main = self._main_fuse(self.feed_pole)
            self.b.add_link("isolator/feed", self.main_circuit, main, isolator.way("in"))
        return Tap(isolator.way("out"), place_uid, "isolator")

    def _ammeter(self) -> Tap:
        """Behind the main fuse-link, before everything but the starter."""
        need = self.meter_need
        if need is None:
            return self.switched
        try:
            part = self.b.smallest("ammeter", need.rating, "ammeter")
        except CannotPropose:
            return self.switched
        self.meter = self.b.add_fitting(
            f"{need.uid}/meter", part, need.name, need.place_uid, need_uid=need.uid
        )
        self.feed_through(self.switched, f"{need.uid}/meter feed", self.meter.way("battery"))
        return Tap(self.meter.way("loads"), need.place_uid, "ammeter")

    def feed_through(self, tap: Tap, origin: str, way_uid: str) -> None:
        """Feed something that all the loads hang on: behind the main fuse-link."""
        if self.main_stands:
            tap.add(origin, self.main_circuit, way_uid)
        else:
            self.b.add_link(origin, self.main_circuit, self._main_fuse(tap), way_uid)

    def checkpoint(self) -> list[int]:
        """How much was asked for up to now."""
        return [len(asked) for asked in self._asked()]

    def go_back(self, to: list[int]) -> None:
        for asked, length in zip(self._asked(), to, strict=True):
            del asked[length:]

    def add_second(self, feed_pole: Tap, return_pole: Tap) -> None:
        """From now on needs may be fed from a second battery."""
        self.second = Second(feed_pole, return_pole)

    def second_way(self, need: Need, owner: str, circuit_uid: str, amps: float) -> str:
        """A fused way beside the second battery for one circuit of a need."""
        if self.second is None:
            raise CannotPropose(
                f"{need.name} is to be fed from a second battery, and there is none: add it as a "
                f"need of kind source with the control “split charge relay”."
            )
        place_uid = self.second.place_uid
        if amps > BOARD_MOST_A:
            origin = f"{owner}/second battery fuse"
            holder = self.b.add_fitting(origin, self.holder(amps), f"{need.name} fuse", place_uid)
            self.second.feed_pole.add(f"{origin}/feed", circuit_uid, holder.way("in"))
            return holder.way("out")
        way_uid = uid_of(f"{owner}/slot")
        self.b.promised[way_uid] = place_uid
        self.second.slots.append(Slot(way_uid, circuit_uid))
        return way_uid

    def _asked(self) -> list[list[Any]]:
        taps = [tap.wanted for tap in self._taps()]
        second = [self.second.slots] if self.second else []
        return [self.slots, *self.key_slots.values(), self.returns, *taps, *second]

    # What patterns ask for

    def board_way(self, owner: str, circuit_uid: str) -> str:
        """A fused way of the main board for one circuit; `owner` is the need that it serves."""
        way_uid = uid_of(f"{owner}/slot")
        self.b.promised[way_uid] = self.board_place_uid
        self.slots.append(Slot(way_uid, circuit_uid))
        return way_uid

    def key_way(self, owner: str, circuit_uid: str, key: Placed, terminal: str) -> str:
        """A fused way that is live while the key joins this terminal of its own to the feed."""
        way_uid = uid_of(f"{owner}/slot")
        self.b.promised[way_uid] = key.place_uid
        self.key_slots[terminal].append(Slot(way_uid, circuit_uid))
        return way_uid

    def own_fuse(
        self, need: Need, circuit_uid: str, amps: float, *, before_isolator: bool, side: str = ""
    ) -> str:
        """A fuse-link of its own beside the battery; returns the way that it protects.

        `side` tells several fuse-links of one need apart: its relay's coil, its second feed.
        """
        part = self.holder(amps)
        origin = " ".join(filter(None, (f"{need.uid}/own fuse", side)))
        name = " ".join(filter(None, (need.name, side, "fuse")))
        tap = self.feed_pole if before_isolator else self._tap_for(amps)
        beside_battery = tap in (self.feed_pole, self.switched)
        place_uid = self.place_uid if beside_battery else tap.place_uid
        holder = self.b.add_fitting(origin, part, name, place_uid)
        tap.add(f"{origin}/feed", circuit_uid, holder.way("in"))
        return holder.way("out")

    def _tap_for(self, amps: float) -> Tap:
        """Where a fuse-link of its own is fed from: a control box carries no more than a board."""
        return self.boards_from if amps <= BOARD_MOST_A else self.fed

    def holder(self, amps: float) -> CatalogPart:
        small = amps <= BOARD_MOST_A
        kind = self.kinds.small_at_battery if small else self.kinds.large_at_battery
        for part in self.b.catalogue.what("fuse holder"):
            if part.text("fuse_kind") == kind and part.number("max_a") >= amps:
                return part
        raise CannotPropose(f"No fuse holder in the catalogue carries {amps:.3g} A ({kind}).")

    def back(self, origin: str, circuit_uid: str, way_uid: str) -> None:
        """Lead this way back to the supply: to the nearest bar or, on a vehicle, an earth stud."""
        self.returns.append((origin, circuit_uid, way_uid))

    def heavy_back(self, origin: str, circuit_uid: str, way_uid: str, *, starter: bool) -> None:
        """A cable straight to the battery, where an earth or bar stud is too small for it."""
        if self.b.inputs.polarity == "insulated return":
            self.return_pole.add(origin, circuit_uid, way_uid, starter=starter)
        else:
            stud = self._earth_stud(self.b.place_of(way_uid))
            self.b.add_link(origin, circuit_uid, way_uid, stud, starter=starter)

    # Fitting what was asked for

    def finish(self) -> None:
        if self.slots:
            self._feed_boards()
        if self.second is not None and self.second.slots:
            self._feed_second_board(self.second)
        if self.b.inputs.polarity == "insulated return":
            self._bars()
        else:
            self._earths()
        for tap in self._taps():
            self._finish_tap(tap)

    def _taps(self) -> list[Tap]:
        taps = [self.boards_from, self.fed, self.switched, self.feed_pole, self.return_pole]
        if self.second is not None:
            taps += [self.second.feed_pole, self.second.return_pole]
        return list({tap.way_uid: tap for tap in taps}.values())

    def _main_fuse(self, tap: Tap) -> str:
        """The main fuse-link, within reach of the battery; returns the way that it protects."""
        part = next(
            part
            for part in self.b.catalogue.what("fuse holder")
            if part.text("fuse_kind") == self.kinds.large_at_battery
        )
        self.main_stands = True
        main = self.b.add_fitting("main fuse", part, "Main fuse", tap.place_uid)
        tap.add("main fuse/feed", self.main_circuit, main.way("in"))
        return main.way("out")

    def _feed_boards(self) -> None:
        main = None if self.main_stands else self._main_fuse(self.boards_from)
        first = self._boards("board", "Fuse board", self.board_place_uid, self.slots, main)
        if main is None:
            self.boards_from.add("board/main feed", self.main_circuit, first)

    def _feed_second_board(self, second: Second) -> None:
        """The fuse-links beside the second battery: a single holder for one, a board for more."""
        name, place_uid = "Second battery fuse", second.place_uid
        if len(second.slots) == 1:
            (slot,) = second.slots
            holder = self.b.add_fitting(
                "second fuse", self.holder(0.0), name, place_uid, ways={"out": slot.way_uid}
            )
            second.feed_pole.add("second fuse/feed", slot.circuit_uid, holder.way("in"))
            return
        first = self._boards("second board", f"{name}s", place_uid, second.slots, None)
        second.feed_pole.add("second board/feed", self.main_circuit, first)

    def _boards(
        self, origin: str, name: str, place_uid: str, slots: list[Slot], feed_way: str | None
    ) -> str:
        """Boards of up to twelve ways, each fed from the one before; returns the first's feed."""
        feeds = []
        for number, start in enumerate(range(0, len(slots), BOARD_WAYS), start=1):
            taken = slots[start : start + BOARD_WAYS]
            part = self._board_part(len(taken))
            ways = {str(n): slot.way_uid for n, slot in enumerate(taken, start=1)}
            board = self.b.add_fitting(f"{origin} {number}", part, name, place_uid, ways=ways)
            feeds.append(board.way("feed"))
            if feed_way is not None:
                self.b.add_link(f"{origin} {number}/feed", self.main_circuit, feed_way, feeds[-1])
            feed_way = feeds[-1]
        return feeds[0]

    def _board_part(self, ways: int) -> CatalogPart:
        for part in sorted(
            self.b.catalogue.what("fuse board"), key=lambda part: len(part.way_plans)
        ):
            if part.text("fuse_kind") == self.kinds.board and len(part.way_plans) > ways:
                return part
        raise CannotPropose(f"No fuse board in the catalogue has {ways} ways ({self.kinds.board}).")

    def key_boards(self, key: Placed) -> None:
        """The fuse-links behind the key: a single holder for one, a board for more."""
        for terminal, slots in self.key_slots.items():
            if len(slots) == 1:
                self._key_holder(key, terminal, slots[0])
            elif slots:
                word = KEY_BOARDS[terminal]
                name = f"{word.capitalize()} fuses"
                self._boards(f"{word} board", name, key.place_uid, slots, key.way(terminal))

    def _key_holder(self, key: Placed, terminal: str, slot: Slot) -> None:
        word = KEY_BOARDS[terminal]
        part = next(
            part
            for part in self.b.catalogue.what("fuse holder")
            if part.text("fuse_kind") == self.kinds.board
        )
        holder = self.b.add_fitting(
            f"{word} fuse",
            part,
            f"{word.capitalize()} fuse",
            key.place_uid,
            ways={"out": slot.way_uid},
        )
        self.b.add_link(f"{word} fuse/feed", slot.circuit_uid, key.way(terminal), holder.way("in"))

    # Returns

    def _bars(self) -> None:
        """A bar at each battery and one at the board; each return goes to the nearest."""
        craft = self.b.inputs.setting == "craft"
        name = "Negative bar" if craft else "Return bar"
        places = list(dict.fromkeys((self.board_place_uid, self.place_uid)))
        poles = dict.fromkeys(places, self.return_pole)
        if self.second is not None:
            poles.setdefault(self.second.place_uid, self.second.return_pole)
            places = list(poles)
        wanted: dict[str, list[tuple[str, str, str]]] = {uid: [] for uid in places}
        for item in self.returns:
            here = self.b.place_of(item[2])
            nearest = min(places, key=lambda uid: (self.b.distance_mm(here, uid), uid != here))
            wanted[nearest].append(item)
        for place_uid, items in wanted.items():
            upstream = ""
            for number, start in enumerate(range(0, len(items), BAR_STUDS), start=1):
                origin = f"bar/{place_uid}/{number}"
                taken = items[start : start + BAR_STUDS]
                bar = self.b.add_fitting(origin, self._bar_part(len(taken)), name, place_uid)
                for stud, (link_origin, circuit_uid, way_uid) in enumerate(taken, start=1):
                    self.b.add_link(link_origin, circuit_uid, way_uid, bar.way(str(stud)))
                circuit = self._return_circuit()
                if upstream:
                    self.b.add_link(f"{origin}/main", circuit, bar.way("feed"), upstream)
                else:
                    poles[place_uid].add(f"{origin}/main", circuit, bar.way("feed"))
                upstream = bar.way("feed")

    def _bar_part(self, studs: int) -> CatalogPart:
        for part in sorted(self.b.catalogue.what("bar"), key=lambda part: len(part.way_plans)):
            if len(part.way_plans) > studs:
                return part
        raise CannotPropose(f"No bar in the catalogue has {studs} studs.")

    def _return_circuit(self) -> str:
        uid = uid_of("return/circuit")
        if uid not in self.b.circuit:
            words = "Negative return" if self.b.feed_is_positive else "Return"
            self.b.add_circuit("return/circuit", words, "negative", None)
        return uid

    def _earths(self) -> None:
        """Each load to an earth stud at its own place; the battery's return pole to one at its."""
        for origin, circuit_uid, way_uid in self.returns:
            stud = self._earth_stud(self.b.place_of(way_uid))
            self.b.add_link(origin, circuit_uid, way_uid, stud)
        stud = self._earth_stud(self.place_uid)
        self.return_pole.add(
            "battery earth", self._return_circuit(), stud, starter=self.has_starter
        )

    def _earth_stud(self, place_uid: str) -> str:
        for number in range(1, 99):
            origin = f"earth/{place_uid}/{number}"
            uid = uid_of(origin)
            if uid not in self.b.fitting:
                name = f"Earth stud, {self.b.place_name(place_uid)}"
                placed = self.b.add_fitting(origin, self.b.part("earth-stud"), name, place_uid)
                return placed.way("stud")
            way_uid = uid_of(f"{origin}/way stud")
            used = sum(
                way_uid in (link.from_way_uid, link.to_way_uid) for link in self.b.link.values()
            )
            if used < EARTH_STUD_TAKES:
                return way_uid
        raise CannotPropose(f"Too many earths at {self.b.place_name(place_uid)}.")

    # Poles with several cables

    def _finish_tap(self, tap: Tap) -> None:
        """Few cables go on the pole itself; of more, the starters', and the others on main bars."""
        returning = tap in (self.return_pole, self.second.return_pole if self.second else None)
        direct = [item for item in tap.wanted if item[3]]
        if len(tap.wanted) <= POLE_TAKES:
            direct = tap.wanted
        for item in direct:
            self._tap_link(tap.way_uid, item, returning=returning)
        others = [item for item in tap.wanted if item not in direct]
        parts = sorted(self.b.catalogue.what("main bar"), key=lambda part: len(part.way_plans))
        if others and not parts:
            raise CannotPropose("The catalogue has no main bar; add one under Stores.")
        feed_way, number = tap.way_uid, 0
        while others:
            # Two cables to a stud. Bars hang on the pole, which keeps unprotected cables short;
            # where it is full, on the bar before.
            part = next((p for p in parts if 2 * (len(p.way_plans) - 1) >= len(others)), parts[-1])
            studs = len(part.way_plans) - 1
            taken, others = others[: 2 * studs], others[2 * studs :]
            bar_feed = self._main_bar(tap, part, number, feed_way, taken, returning=returning)
            number += 1
            if number + len(direct) >= POLE_TAKES:
                feed_way = bar_feed

    def _main_bar(
        self,
        tap: Tap,
        part: CatalogPart,
        number: int,
        feed_way: str,
        items: list[tuple[str, str, str, bool]],
        *,
        returning: bool,
    ) -> str:
        """A main bar beside its pole, with its cables; returns its feed."""
        origin = f"main bar/{tap.name}" + (f"/{number + 1}" if number else "")
        bar = self.b.add_fitting(origin, part, f"Main bar, {tap.name}", tap.place_uid)
        self.b.add_link(f"{origin}/feed", self.main_circuit, feed_way, bar.way("feed"))
        studs = len(part.way_plans) - 1
        for place, item in enumerate(items):
            self._tap_link(bar.way(str(place % studs + 1)), item, returning=returning)
        return bar.way("feed")

    def _tap_link(self, tap_way: str, item: tuple[str, str, str, bool], *, returning: bool) -> None:
        origin, circuit_uid, way_uid, starter = item
        ends = (way_uid, tap_way) if returning else (tap_way, way_uid)
        self.b.add_link(origin, circuit_uid, *ends, starter=starter)
