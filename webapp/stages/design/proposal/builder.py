"""Puts fittings, circuits and links together while a proposal grows. Uids come from origins."""

import hashlib
from dataclasses import dataclass, field, replace
from typing import Any

from webapp.sizing.routes import NoRoute, shortest_route
from webapp.sizing.routes import Run as RouteRun
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.fit_out import bridges_of_part, ways_of_part
from webapp.stages.design.rows import Bridge, Circuit, Design, Fitting, Link, Run, Way

_TABLES = ("fitting", "way", "bridge", "circuit", "link", "promised", "spreads", "fed")


def uid_of(origin: str) -> str:
    """The same part of the same need always gets the same uid, so that edits to it survive."""
    return hashlib.sha256(origin.encode()).hexdigest()[:10]


@dataclass(frozen=True)
class Placed:
    """A fitting that stands in the proposal, with its ways' uids by label."""

    uid: str
    place_uid: str
    ways: dict[str, str]

    def way(self, label: str) -> str:
        return self.ways[label]


@dataclass(frozen=True)
class Named:
    """Something that the proposal says: what it could not do, or what it assumed."""

    sentence: str
    need_uid: str | None = None


class CannotPropose(Exception):
    """This need cannot be met by a proposal; the message is a plain sentence."""


@dataclass(frozen=True)
class Target:
    """A way that a spread leads to, and the circuit that the wire to it belongs to."""

    way_uid: str
    circuit_uid: str


@dataclass(frozen=True)
class Spread:
    """One way that is joined to several; `number` is its wires' place in the order of all."""

    origin: str
    circuit_uid: str
    from_way: str
    targets: tuple[Target, ...]
    number: int
    own_lead: bool = False
    # What its first wire is called, where it has a name of its own.
    wire: str = ""


@dataclass
class Tap:
    """A stud that several cables leave from: a battery pole, an isolator's far side."""

    way_uid: str
    place_uid: str
    name: str
    wanted: list[tuple[str, str, str, bool]] = field(default_factory=list)

    def add(self, origin: str, circuit_uid: str, way_uid: str, *, starter: bool = False) -> None:
        self.wanted.append((origin, circuit_uid, way_uid, starter))


class Builder:
    """Collects the rows of one proposal. `design` holds the inputs: basis, places, runs, needs."""

    def __init__(self, design: Design, catalogue: Catalogue) -> None:
        self.inputs = design
        self.catalogue = catalogue
        self.fitting: dict[str, Fitting] = {}
        self.way: dict[str, Way] = {}
        self.bridge: dict[str, Bridge] = {}
        self.circuit: dict[str, Circuit] = {}
        self.link: dict[str, Link] = {}
        self.spreads: dict[str, Spread] = {}
        # Which spread feeds a need: what is lit with it through a diode joins there.
        self.fed: dict[str, str] = {}
        self._numbers = 0
        self.said: list[Named] = []
        self.refused: list[Named] = []
        # Places of ways whose fitting is chosen last, by the number of ways asked for.
        self.promised: dict[str, str] = {}
        self._routes: dict[tuple[str, str], tuple[str, ...] | None] = {}

    @property
    def feed_is_positive(self) -> bool:
        return self.inputs.polarity != "positive earth"

    def say(self, sentence: str, need_uid: str | None = None) -> None:
        if all(said.sentence != sentence for said in self.said):
            self.said.append(Named(sentence, need_uid))

    def refuse(self, sentence: str, need_uid: str | None = None) -> None:
        self.refused.append(Named(sentence, need_uid))

    def checkpoint(self) -> dict[str, Any]:
        """What stands now, to go back to when a need turns out to be beyond a proposal."""
        tables = {table: dict(getattr(self, table)) for table in _TABLES}
        return tables | {"said": list(self.said)}

    def go_back(self, to: dict[str, Any]) -> None:
        for table, rows in to.items():
            setattr(self, table, type(rows)(rows))

    def add_circuit(self, origin: str, name: str, service: str, need_uid: str | None) -> str:
        uid = uid_of(origin)
        number = len(self.circuit) + 1
        self.circuit[uid] = Circuit(
            uid=uid,
            position=number,
            origin=origin,
            number=number,
            name=name,
            service=service,
            need_uid=need_uid,
        )
        return uid

    def add_fitting(
        self,
        origin: str,
        part: CatalogPart,
        name: str,
        place_uid: str,
        *,
        need_uid: str | None = None,
        supplied_by: str = "workshop",
        ways: dict[str, str] | None = None,
    ) -> Placed:
        """A fitting with the ways and insides that its part has.

        `ways` names uids of ways that were promised before the fitting was known, by label.
        """
        uid = uid_of(origin)
        self.fitting[uid] = Fitting(
            uid=uid,
            position=len(self.fitting) + 1,
            origin=origin,
            place_uid=place_uid,
            name=self._free_name(name),
            kind=part.text("what"),
            part_uid=part.uid,
            supplied_by=supplied_by,
        )
        found = ways_of_part(part, uid, origin=origin, uid_of=uid_of, known=ways)
        self.way |= {way.uid: way for way in found}
        labels = {way.label: way.uid for way in found}
        need = self.inputs.need.get(need_uid or "")
        for row in bridges_of_part(part, uid, labels, origin=origin, uid_of=uid_of, need=need):
            self.bridge[row.uid] = row
        return Placed(uid, place_uid, labels)

    def placed(self, origin: str) -> Placed | None:
        """The fitting of this origin, if it stands already."""
        uid = uid_of(origin)
        if uid not in self.fitting:
            return None
        labels = {way.label: way.uid for way in self.way.values() if way.fitting_uid == uid}
        return Placed(uid, self.fitting[uid].place_uid, labels)

    def _free_name(self, name: str) -> str:
        taken = {fitting.name for fitting in self.fitting.values()}
        if name not in taken:
            return name
        return next(f"{name} {n}" for n in range(2, 999) if f"{name} {n}" not in taken)

    def _next_number(self) -> int:
        self._numbers += 1
        return self._numbers

    def add_link(
        self,
        origin: str,
        circuit_uid: str,
        from_way: str,
        to_way: str,
        *,
        starter: bool = False,
        own_lead: bool = False,
        note: str = "",
        number: int | None = None,
    ) -> str:
        uid = uid_of(origin)
        number = number or self._next_number()
        self.link[uid] = Link(
            uid=uid,
            position=number,
            origin=origin,
            number=number,
            circuit_uid=circuit_uid,
            from_way_uid=from_way,
            to_way_uid=to_way,
            starter_cable=starter,
            own_lead=own_lead,
            note=note,
        )
        return uid

    def in_order(self) -> None:
        """Number the links circuit by circuit, each circuit's as they were made."""
        order = sorted(
            self.link.values(),
            key=lambda link: (self.circuit[link.circuit_uid].number, link.number),
        )
        self.link = {
            link.uid: replace(link, number=number, position=number)
            for number, link in enumerate(order, start=1)
        }

    def routed(self, design: Design) -> Design:
        """The merged design with a route for each proposed link: where its ends are, by hand or
        not. A route by hand stays."""
        links = dict(design.link)
        for uid, proposed in self.link.items():
            link = links.get(uid)
            if link is None or "route" in link.by_hand:
                continue
            # An end that a person left loose lies where it was proposed.
            a = self._place_in(design, link.from_way_uid or proposed.from_way_uid or "")
            b = self._place_in(design, link.to_way_uid or proposed.to_way_uid or "")
            route = self.route(a, b)
            if route is None:
                self.refuse(
                    f"No run leads from {self.place_name(a)} to {self.place_name(b)}: "
                    f"wire {link.number} has no route.",
                    design.circuit[link.circuit_uid].need_uid,
                )
            links[uid] = replace(link, route=route)
        return replace(design, link=links)

    def _place_in(self, design: Design, way_uid: str) -> str:
        return design.place_of_way(way_uid) if way_uid in design.way else self.place_of(way_uid)

    def route(self, a: str, b: str) -> tuple[str, ...] | None:
        """The shortest way through the runs; unmeasured ones only where nothing else leads."""
        if (a, b) not in self._routes:
            measured = [run for run in self.inputs.run.values() if run.length_mm]
            found = shortest(measured, a, b)
            if found is None:
                found = shortest(list(self.inputs.run.values()), a, b)
            self._routes[a, b] = found
        return self._routes[a, b]

    def distance_mm(self, a: str, b: str) -> int:
        route = self.route(a, b)
        if route is None:
            return 10**9
        return sum(self.inputs.run[uid].length_mm or 0 for uid in route)

    def nearest_to_all(self, places: list[str]) -> str:
        """The place on their ways that is least far from all of these together.

        Of equals the first; the last of them is where the ways come from.
        """
        here = places[-1]
        passed = [self._passed(here, uid) for uid in places]
        candidates = dict.fromkeys([*places, *(uid for way in passed for uid in way)])
        return min(
            candidates, key=lambda uid: sum(self.distance_mm(uid, other) for other in places)
        )

    def _passed(self, a: str, b: str) -> list[str]:
        """The places on the way from one to another."""
        found = [a]
        for uid in self.route(a, b) or ():
            run = self.inputs.run[uid]
            found.append(
                run.to_place_uid if run.from_place_uid == found[-1] else run.from_place_uid
            )
        return found

    def place_of(self, way_uid: str) -> str:
        """Where a way is, or will be once its board is fitted."""
        if way_uid in self.promised:
            return self.promised[way_uid]
        return self.fitting[self.way[way_uid].fitting_uid].place_uid

    def place_name(self, place_uid: str) -> str:
        return self.inputs.place[place_uid].name

    def part(self, uid: str) -> CatalogPart:
        part = self.catalogue.get(uid)
        if part is None:
            raise CannotPropose(f"The catalogue has no part {uid}; add it under Stores.")
        return part

    def smallest(self, what: str, amps: float, name: str) -> CatalogPart:
        """The smallest part of a sort that carries the current."""
        for part in self.catalogue.what(what):
            if part.number("max_a") >= amps:
                return part
        raise CannotPropose(f"No {name} in the catalogue carries {amps:.3g} A.")

    def spread(
        self,
        origin: str,
        circuit_uid: str,
        from_way: str,
        targets: list[str],
        *,
        own_lead: bool = False,
        wire: str = "",
    ) -> None:
        """Join one way to several, now or later joined by others: spreading.py lays the wires."""
        self.spreads[origin] = Spread(
            origin,
            circuit_uid,
            from_way,
            tuple(Target(way, circuit_uid) for way in targets),
            self._next_number(),
            own_lead,
            wire,
        )

    def join(self, origin: str, *targets: Target) -> None:
        """Lead a spread to more ways."""
        spread = self.spreads[origin]
        self.spreads[origin] = replace(spread, targets=(*spread.targets, *targets))

    def leaves_from(self, way_uid: str) -> bool:
        """Whether something is led from this way already."""
        return any(link.from_way_uid == way_uid for link in self.link.values()) or any(
            spread.from_way == way_uid for spread in self.spreads.values()
        )


def shortest(runs: list[Run], a: str, b: str) -> tuple[str, ...] | None:
    if a == b:
        return ()
    plain = [
        RouteRun(run.uid, run.from_place_uid, run.to_place_uid, run.length_mm or 1) for run in runs
    ]
    try:
        return shortest_route(plain, a, b).runs
    except NoRoute:
        return None
