"""Lines of a wire that is there: only what they say otherwise is changed."""

from collections.abc import Mapping, Sequence

from webapp.stages.design.editing.edit import by_hand, released
from webapp.stages.design.editing.settling import crossings_of
from webapp.stages.design.rows import Crossing, Link
from webapp.stages.design.wire_list.ends import made_end
from webapp.stages.design.wire_list.lines import SIDES, Listed, WireLine, line_values
from webapp.stages.design.wire_list.named import EndAt
from webapp.stages.design.wire_list.taker import (
    WHERE,
    TakenLink,
    Taker,
    agreed,
    beside,
    refuse_ends,
    segment_of,
)


class KnownWires(Taker):
    """Takes the lines of one link of the design."""

    def take(self, link: Link, lines: Sequence[WireLine]) -> TakenLink | None:
        """The link with what its lines change; None when one of them is refused."""
        lines = sorted(lines, key=segment_of)
        crossings = crossings_of(self.design, link.uid)
        if not any(line.values for line in lines):
            return TakenLink(link, crossings=tuple(crossings))
        now = [each for each in self.wires.values() if each.wire.link.uid == link.uid]
        bysegment_of = {segment_of(line): line for line in lines}
        whole = agreed(lines)
        with beside(lines):
            new = self.columns(whole, link)
            after = by_hand(link, **new)
            if "section_mm2" in whole and whole["section_mm2"] is None and "csa_mm2" not in new:
                after = released(after, csa_mm2=None, cable_part_uid=None)
            elif "cable_part" in whole and "cable_part_uid" not in new:
                found = self.cables.get(link.csa_mm2 or 0.0)
                after = released(after, cable_part_uid=found.uid if found else None)
            pairs = [self._places_now(each, bysegment_of.get(at)) for at, each in enumerate(now)]
            after = self._led(after, link, pairs)
            after, rerouted = self._rerouted(after, now, bysegment_of)
            lengths = self.lengths(link, bysegment_of)
            if lengths != link.lengths_mm:
                after = (by_hand if lengths else released)(after, lengths_mm=lengths)
            kept = self._crossings_now(link, now, pairs, lines)
            ends = [
                made_end(
                    self.design, self.catalogue, link.uid, end.uid, at, side,
                    bysegment_of.get(number),
                )
                for number, (each, ends_at) in enumerate(zip(now, pairs, strict=True))
                for side, end, at in zip(SIDES, each.wire.ends, ends_at, strict=True)
            ]  # fmt: skip
            moved = (link.from_way_uid, link.to_way_uid) != (after.from_way_uid, after.to_way_uid)
            return TakenLink(
                link=after,
                crossings=tuple(kept),
                ends=tuple(end for end in ends if end is not None),
                places=(pairs[0][0].place_uid, pairs[-1][1].place_uid),
                settle=moved or rerouted or bool(new.keys() & {"starter_cable", "own_lead"}),
                remake=True,
                choose_route=(moved or rerouted) and "route" not in after.by_hand,
            )
        return None

    def _places_now(self, each: Listed, line: WireLine | None) -> tuple[EndAt, EndAt]:
        """Where both ends of a wire go, with what its line changes."""
        ends = []
        for side, end in zip(SIDES, each.wire.ends, strict=True):
            at = EndAt(end.way_uid, None if end.way_uid is None else end.place_uid)
            if at.way_uid is None and each.places:
                at = EndAt(None, each.places[0 if side == "from" else -1])
            if line is not None and any(f"{side}_{name}" in line.values for name in WHERE):
                with beside([line]):
                    at = self._end_changed(each, line, side)
            ends.append(at)
        return ends[0], ends[1]

    def _end_changed(self, each: Listed, line: WireLine, side: str) -> EndAt:
        now = line_values(self.design, each)
        said = {name: line.values.get(f"{side}_{name}", now[f"{side}_{name}"]) for name in WHERE}
        if f"{side}_fitting" in line.values and f"{side}_place" not in line.values:
            # The place in the list is still that of the fitting before, unless it is left loose.
            said["place"] = "" if said["fitting"] else said["place"]
        if not said["fitting"] and f"{side}_way" not in line.values:
            said["way"] = ""
        return self.names.end(line, side, said["fitting"], said["way"], said["place"])

    def _led(self, after: Link, link: Link, pairs: Sequence[tuple[EndAt, EndAt]]) -> Link:
        ends = {"from_way_uid": pairs[0][0].way_uid, "to_way_uid": pairs[-1][1].way_uid}
        different = {name: way for name, way in ends.items() if way != getattr(link, name)}
        if different:
            refuse_ends(ends["from_way_uid"], ends["to_way_uid"])
        return by_hand(after, **different)

    def _rerouted(
        self, after: Link, now: Sequence[Listed], bysegment_of: Mapping[int, WireLine]
    ) -> tuple[Link, bool]:
        if not any("route" in line.values for line in bysegment_of.values()):
            return after, False
        texts = [
            bysegment_of[at].values.get("route", line_values(self.design, each)["route"])
            if at in bysegment_of
            else line_values(self.design, each)["route"]
            for at, each in enumerate(now)
        ]
        if not any(texts):
            return released(after, route=None), True
        route, _, _ = self.route(texts)
        return by_hand(after, route=route), True

    def _crossings_now(
        self,
        link: Link,
        now: Sequence[Listed],
        pairs: Sequence[tuple[EndAt, EndAt]],
        lines: Sequence[WireLine],
    ) -> list[Crossing]:
        there = {each.uid: each for each in crossings_of(self.design, link.uid)}
        for at in range(len(now) - 1):
            uid = now[at].wire.right.uid.removeprefix(f"{link.uid}:").removesuffix(".a")
            ways = (pairs[at][1].way_uid, pairs[at + 1][0].way_uid)
            if ways != (there[uid].way_a_uid, there[uid].way_b_uid):
                a, b = self.mates(*ways)
                there[uid] = by_hand(there[uid], way_a_uid=a, way_b_uid=b)
        return list(there.values())
