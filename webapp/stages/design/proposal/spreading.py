"""Lays the wires from one way to several: straight to one, through splices to more.

A splice stands where its wires come to the least length in all; ways that share a place away from
it share a wire up to a splice of their own.
"""

from dataclasses import dataclass

from webapp.stages.design.proposal.builder import Builder, Spread, Target

SPLICE_WIRES = 5


@dataclass(frozen=True)
class _Arm:
    """What one wire from a splice leads to: a way, or several at one place."""

    origin: str
    targets: tuple[tuple[int, Target], ...]


def lay_spreads(builder: Builder) -> None:
    for spread in builder.spreads.values():
        numbered = tuple(enumerate(spread.targets, start=2))
        if numbered:
            _Layer(builder, spread).lay(spread.origin, spread.from_way, numbered, spread.wire)


class _Layer:
    def __init__(self, builder: Builder, spread: Spread) -> None:
        self.b = builder
        self.spread = spread

    def lay(
        self, origin: str, from_way: str, targets: tuple[tuple[int, Target], ...], word: str = ""
    ) -> None:
        """`word` names the wire that leads here, where it is not the first of its splice."""
        circuit = self._circuit(targets)
        wire = word or f"{origin}/wire"
        if len(targets) == 1:
            self._link(wire, circuit, from_way, targets[0][1].way_uid)
            return
        place_uid = self._place(from_way, targets)
        arms = self._arms(origin, place_uid, targets)
        first, rest = arms[: SPLICE_WIRES - 1], arms[SPLICE_WIRES - 1 :]
        if rest:
            first, rest = arms[: SPLICE_WIRES - 2], arms[SPLICE_WIRES - 2 :]
        wires = 1 + len(first) + bool(rest)
        splice = self.b.add_fitting(
            f"{origin}/splice", self.b.part(f"splice-4-{max(3, wires)}"), "Splice", place_uid
        )
        self._link(wire, circuit, from_way, splice.way("1"))
        for number, arm in enumerate(first, start=2):
            alone = f"{self.spread.origin}/wire {arm.targets[0][0]}"
            word = alone if len(arm.targets) == 1 else ""
            self.lay(arm.origin, splice.way(str(number)), arm.targets, word)
        if rest:
            left = tuple(target for arm in rest for target in arm.targets)
            self.lay(f"{origin}/more", splice.way(str(wires)), left)

    def _link(self, origin: str, circuit_uid: str, from_way: str, to_way: str) -> None:
        self.b.add_link(
            origin,
            circuit_uid,
            from_way,
            to_way,
            own_lead=self.spread.own_lead,
            number=self.spread.number,
        )

    def _circuit(self, targets: tuple[tuple[int, Target], ...]) -> str:
        """The targets' own circuit, or the spread's where they have several."""
        circuits = {target.circuit_uid for _, target in targets}
        return circuits.pop() if len(circuits) == 1 else self.spread.circuit_uid

    def _place(self, from_way: str, targets: tuple[tuple[int, Target], ...]) -> str:
        """Where the wires' lengths come to the least; among equals nearer the targets."""
        here = self.b.place_of(from_way)
        ends = [self.b.place_of(target.way_uid) for _, target in targets]
        if set(ends) == {ends[0]}:
            return ends[0]
        return self.b.nearest_to_all([*dict.fromkeys(ends), here])

    def _arms(
        self, origin: str, place_uid: str, targets: tuple[tuple[int, Target], ...]
    ) -> list[_Arm]:
        """Ways at the splice's own place each get a wire, those elsewhere one for each place."""
        arms: dict[str, list[tuple[int, Target]]] = {}
        for number, target in targets:
            at = self.b.place_of(target.way_uid)
            arms.setdefault(at if at != place_uid else f"{at} {number}", []).append(
                (number, target)
            )
        return [_Arm(f"{origin}/{at}", tuple(found)) for at, found in arms.items()]
