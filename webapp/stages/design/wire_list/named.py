"""What a list calls by name: places, ways of fittings, circuits, cables. What is not there is made
where the list says enough about it, and where the person agreed to it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.commands import new_uid
from webapp.stages.design.editing.circuits import next_circuit_number
from webapp.stages.design.editing.edit import by_hand, next_position, put
from webapp.stages.design.names import key
from webapp.stages.design.names import listed as in_words
from webapp.stages.design.rows import Cable, Circuit, Design, Fitting, Place, Row, Way
from webapp.stages.design.wire_list.lines import WireLine
from webapp.stages.refusals import Refused

PLAIN = "fitting"
# A way that is made for a list which does not say what a wire needs to be joined to it.
CONTACT_NOT_SAID = "unknown contact"
CABLES = ("cable", "cable of cores")
CABLE_KINDS = ("twisted pair", "cable of cores", "screened cable")
NOT_MADE = "No fitting is called “{}”: put its name right, or agree to make it, below the list."


@dataclass(frozen=True)
class EndAt:
    """Where an end goes: a way, or loose at a place."""

    way_uid: str | None
    place_uid: str | None


class Named:
    """The names of a design, and what a list adds to them."""

    def __init__(self, design: Design, *, make_fittings: bool) -> None:
        self.design = design
        self.make_fittings = make_fittings
        self.places = {key(place.name): place.uid for place in design.place.values()}
        self.fittings: dict[str, list[Fitting]] = {}
        for fitting in design.fitting.values():
            self.fittings.setdefault(key(fitting.name), []).append(fitting)
        self.ways = {uid: list(ways) for uid, ways in design.ways_of.items()}
        self.missing: dict[str, str] = {}
        self._new: dict[str, Row] = {}
        self._positions = {
            table: next_position(design.table(table).values())
            for table in ("place", "fitting", "way", "circuit", "cable")
        }
        self._next_circuit = next_circuit_number(design)

    def put_into(self, design: Design) -> Design:
        """The design with what was made or changed here."""
        return put(design, *self._new.values())

    def made(self, row_type: type[Any]) -> list[Any]:
        """The new rows of a table."""
        there = self.design.table(row_type.__name__.casefold())
        return [
            row for uid, row in self._new.items() if isinstance(row, row_type) and uid not in there
        ]

    def _add(self, table: str, row: Any) -> Any:
        row = replace(row, position=self._positions[table])
        self._positions[table] += 1
        self._new[row.uid] = row
        return row

    # --- places and ways ------------------------------------------------------------------------

    def place(self, name: str) -> str:
        """The place of this name; made when nothing is called so."""
        uid = self.places.get(key(name))
        if uid is None:
            made: Place = self._add("place", Place(uid=new_uid(), name=" ".join(name.split())))
            uid = self.places[key(name)] = made.uid
        return uid

    def end(self, line: WireLine, side: str, fitting: str, way: str, place: str) -> EndAt:
        """The end that these names give.

        Raises:
            Refused: no such fitting or way; a fitting elsewhere; too little is said to make it.
        """
        if not fitting:
            if way:
                raise Refused(f"{side}_fitting", f"Say which fitting has the way {way}.")
            return EndAt(None, self.place(place) if place else None)
        if not way and " · " in fitting:
            fitting, _, way = (part.strip() for part in fitting.rpartition(" · "))
        found = self.fittings.get(key(fitting)) or [self._make(side, fitting, place)]
        here = [each for each in found if not place or self._is_at(each, place)]
        if not here:
            stands = self._place_name(found[0])
            raise Refused(
                f"{side}_place",
                f"{found[0].name} sits at {stands}, not at {place}. Move it under Fittings.",
            )
        return EndAt(self._way(here, line, side, way), here[0].place_uid)

    def _is_at(self, fitting: Fitting, place: str) -> bool:
        return self.places.get(key(place)) == fitting.place_uid

    def _place_name(self, fitting: Fitting) -> str:
        made = self._new.get(fitting.place_uid)
        place = made if isinstance(made, Place) else self.design.place[fitting.place_uid]
        return place.name

    def _make(self, side: str, name: str, place: str) -> Fitting:
        plain = " ".join(name.split())
        self.missing.setdefault(plain, place)
        if not self.make_fittings:
            raise Refused(f"{side}_fitting", NOT_MADE.format(plain))
        if not place:
            raise Refused(
                f"{side}_place",
                f"No fitting is called “{plain}”. To make it, say in {side}_place where it sits.",
            )
        made: Fitting = self._add(
            "fitting",
            Fitting(uid=new_uid(), place_uid=self.place(place), name=plain, kind=PLAIN),
        )
        self.fittings[key(name)] = [made]
        self.ways[made.uid] = []
        return made

    def _way(self, found: list[Fitting], line: WireLine, side: str, label: str) -> str:
        field = f"{side}_way"
        if not label:
            raise Refused(field, f"Say which way of {found[0].name} the wire goes to.")
        matches = [way for each in found for way in self.ways[each.uid] if way.label == label] or [
            way for each in found for way in self.ways[each.uid] if key(way.label) == key(label)
        ]
        contact = line.values.get(f"{side}_contact") or ""
        if not matches:
            return self._grow(found[0], field, label, contact)
        if len(matches) > 1:
            raise Refused(field, f"More than one fitting is called {found[0].name}: rename one.")
        (way,) = matches
        if contact and contact != way.contact:
            if way.uid not in self._new or way.contact != CONTACT_NOT_SAID:
                raise Refused(
                    f"{side}_contact",
                    f"{found[0].name} · {way.label} is {way.contact}: its part says so. Choose "
                    "another part under Fittings.",
                )
            way = replace(way, contact=contact)
        if way.uid in self._new:
            self._renew(found[0], replace(way, takes=way.takes + 1))
        return way.uid

    def _grow(self, fitting: Fitting, field: str, label: str, contact: str) -> str:
        """A plain fitting has the ways that its wires name; others have those of their part."""
        labels = [way.label for way in self.ways[fitting.uid]]
        if fitting.kind != PLAIN or fitting.part_uid is not None:
            raise Refused(
                field,
                f"{fitting.name} has no way {label}: it has {in_words(labels, 12)}."
                if labels
                else f"{fitting.name} has no ways.",
            )
        way: Way = self._add(
            "way",
            Way(
                uid=new_uid(),
                fitting_uid=fitting.uid,
                label=label,
                contact=contact or CONTACT_NOT_SAID,
            ),
        )
        self.ways[fitting.uid].append(way)
        return way.uid

    def _renew(self, fitting: Fitting, way: Way) -> None:
        ways = self.ways[fitting.uid]
        ways[next(at for at, each in enumerate(ways) if each.uid == way.uid)] = way
        self._new[way.uid] = way

    def way_row(self, uid: str) -> Way:
        row = self._new.get(uid)
        return row if isinstance(row, Way) else self.design.way[uid]

    # --- circuits ------------------------------------------------------------------------------

    def _circuits(self) -> Iterable[Circuit]:
        made = (row for row in self._new.values() if isinstance(row, Circuit))
        standing = (row for uid, row in self.design.circuit.items() if uid not in self._new)
        return (*standing, *made)

    def circuit(self, name: str, number: int | None, service: str | None) -> str:
        """The circuit of this name, or without one of this number; made when there is none.

        Raises:
            Refused: nothing names it; the number is taken, or the circuit has another.
        """
        there = list(self._circuits())
        named = [each for each in there if key(each.name) == key(name)] if name else []
        both = [each for each in (named or there) if each.number == number]
        found = (both or named)[:1] if name else both[:1]
        if found:
            (circuit,) = found
            self._agrees(circuit, number, service)
            return circuit.uid
        if not name:
            raise Refused("circuit", "Say which circuit the wire belongs to; a new name makes one.")
        if number is not None:
            self._refuse_taken(number, "")
        made: Circuit = self._add(
            "circuit",
            Circuit(
                uid=new_uid(),
                number=self._next_circuit if number is None else number,
                name=" ".join(name.split()),
                service=service or "other",
            ),
        )
        self._next_circuit = max(self._next_circuit, made.number + 1)
        return made.uid

    def _agrees(self, circuit: Circuit, number: int | None, service: str | None) -> None:
        if number is not None and number != circuit.number:
            raise Refused(
                "circuit_number", f"The circuit {circuit.name} has the number {circuit.number}."
            )
        if service and service != circuit.service:
            raise Refused("service", f"The circuit {circuit.name} is for {circuit.service}.")

    def _refuse_taken(self, number: int, uid: str) -> None:
        if any(each.number == number for each in self._circuits() if each.uid != uid):
            raise Refused(
                "circuit_number",
                f"There is a circuit {number} already. The next free number is "
                f"{self._next_circuit}.",
            )

    def change_circuit(self, uid: str, name: str, value: Any) -> None:
        """Sets the number or service of a circuit: its wires must agree in it.

        Raises:
            Refused: the number is taken, or another line says otherwise.
        """
        column = "circuit_number" if name == "number" else name
        circuit = self._new.get(uid) or self.design.circuit[uid]
        assert isinstance(circuit, Circuit)
        if uid in self._new and getattr(circuit, name) not in (
            value, getattr(self.design.circuit[uid], name)
        ):  # fmt: skip
            raise Refused(column, f"Another line says {getattr(circuit, name)} of this circuit.")
        if name == "number":
            self._refuse_taken(value, uid)
        self._new[uid] = by_hand(circuit, **{name: value})

    # --- cables of several cores ----------------------------------------------------------------

    def cable(self, name: str, kind: str, part_uid: str | None) -> str | None:
        """The cable of this name; made when there is none, for which its kind must be said."""
        if not name:
            return None
        rows = {**self.design.cable, **self._new}
        for row in rows.values():
            if isinstance(row, Cable) and key(row.name) == key(name):
                new = {
                    column: value
                    for column, value in (("kind", kind), ("part_uid", part_uid))
                    if value and value != getattr(row, column)
                }
                if new and "kind" in new:
                    _known_kind(kind)
                if new:
                    self._new[row.uid] = by_hand(row, **new)
                return row.uid
        _known_kind(kind)
        made: Cable = self._add(
            "cable",
            Cable(uid=new_uid(), name=" ".join(name.split()), kind=kind, part_uid=part_uid),
        )
        return made.uid


def _known_kind(kind: str) -> None:
    if kind not in CABLE_KINDS:
        raise Refused(
            "cable_kind", f"No such kind of cable “{kind}”. Take one of: {', '.join(CABLE_KINDS)}."
        )


def find_part(catalogue: Catalogue, text: str, kinds: Sequence[str], column: str) -> CatalogPart:
    """A part of the stores by its uid or its name.

    Raises:
        Refused: none of these kinds is called so.
    """
    found = catalogue.get(text) or next(
        (part for part in catalogue.kind(*kinds) if key(part.name) == key(text)), None
    )
    if found is None or found.kind not in kinds:
        raise Refused(column, f"The stores have no {kinds[0]} “{text[:60]}”.")
    return found
