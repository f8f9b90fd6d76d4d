"""Lines of a new wire: what they leave open is chosen later (chosen.py)."""

from collections.abc import Sequence

from webapp.stages.design.commands import new_uid
from webapp.stages.design.editing.edit import by_hand
from webapp.stages.design.rows import Crossing, Link
from webapp.stages.design.wire_list.ends import made_end
from webapp.stages.design.wire_list.lines import SIDES, WireLine
from webapp.stages.design.wire_list.named import EndAt
from webapp.stages.design.wire_list.taker import (
    TakenLink,
    Taker,
    agreed,
    beside,
    refuse_ends,
    segment_of,
)
from webapp.stages.refusals import Refused


class NewWires(Taker):
    """Takes the lines of one link that the design has not."""

    def take(self, lines: Sequence[WireLine]) -> TakenLink | None:
        """The new link of these lines; None when one of them is refused."""
        lines = sorted(lines, key=segment_of)
        as_it_stands = bool(lines[0].uid)
        whole = agreed(lines)
        uid = new_uid()
        with beside(lines):
            given = whole if as_it_stands else {k: v for k, v in whole.items() if v is not None}
            pairs = [self._both_ends(line) for line in lines]
            if not all(line.good for line in lines):
                return None
            start, end = pairs[0][0], pairs[-1][1]
            refuse_ends(start.way_uid, end.way_uid)
            _refuse_nowhere(start, end, as_it_stands)
            base = Link(
                uid=uid, number=0, circuit_uid="",
                from_way_uid=start.way_uid, to_way_uid=end.way_uid,
            )  # fmt: skip
            columns = self.columns({"circuit": None} | given, base)
            link = by_hand(base, **{n: v for n, v in columns.items() if v not in (None, "", False)})
            texts = [line.given("route") or "" for line in lines]
            if any(texts):
                route, first, last = self.route(texts)
                _refuse_other_places(start, end, first, last)
                link = by_hand(link, route=route)
            lengths = self.lengths(link, dict(enumerate(lines)))
            if lengths:
                link = by_hand(link, lengths_mm=lengths)
            crossings = self._crossings(uid, pairs, lines)
            ends = [
                made_end(self.design, self.catalogue, uid, end_uid, at, side, line)
                for line, end_uids, ends_at in zip(
                    lines, _end_uids(uid, crossings), pairs, strict=True
                )
                for side, end_uid, at in zip(SIDES, end_uids, ends_at, strict=True)
            ]
            known = "route" in lines[0].values
            return TakenLink(
                link=link,
                is_new=True,
                crossings=tuple(crossings),
                ends=tuple(row for row in ends if row is not None),
                places=(start.place_uid, end.place_uid),
                settle=not as_it_stands,
                remake=True,
                choose_route=link.route is None and not (as_it_stands and known),
                choose_colour=not link.main and not (as_it_stands and "main" in whole),
                choose_section=link.csa_mm2 is None
                and not (as_it_stands and "section_mm2" in whole),
            )
        return None

    def _both_ends(self, line: WireLine) -> tuple[EndAt, EndAt]:
        found = []
        for side in SIDES:
            at = EndAt(None, None)
            with beside([line]):
                fitting, way, place = (
                    str(line.given(f"{side}_{name}") or "") for name in ("fitting", "way", "place")
                )
                at = self.names.end(line, side, fitting, way, place)
            found.append(at)
        return found[0], found[1]

    def _crossings(
        self, link_uid: str, pairs: Sequence[tuple[EndAt, EndAt]], lines: Sequence[WireLine]
    ) -> list[Crossing]:
        ways = []
        for before, after, line in zip(pairs, pairs[1:], lines[1:], strict=False):
            with beside([line]):
                ways.append(self.mates(before[1].way_uid, after[0].way_uid))
        # Where plugs stand together, the order of their uids is that along the link.
        uids = sorted(new_uid() for _ in ways)
        return [
            Crossing(uid=uid, link_uid=link_uid, way_a_uid=a, way_b_uid=b)
            for uid, (a, b) in zip(uids, ways, strict=True)
        ]


def _end_uids(link_uid: str, crossings: Sequence[Crossing]) -> list[tuple[str, str]]:
    marks = ["from", *(f"{each.uid}.{half}" for each in crossings for half in "ab"), "to"]
    uids = [f"{link_uid}:{mark}" for mark in marks]
    return list(zip(uids[::2], uids[1::2], strict=True))


def _refuse_nowhere(start: EndAt, end: EndAt, as_it_stands: bool) -> None:
    for side, at in zip(SIDES, (start, end), strict=True):
        if at.way_uid is None and at.place_uid is None and not as_it_stands:
            raise Refused(
                f"{side}_fitting",
                "Say to which fitting and way this end goes, or at which place it is left loose.",
            )


def _refuse_other_places(start: EndAt, end: EndAt, first: str, last: str) -> None:
    if start.place_uid not in (None, first) or end.place_uid not in (None, last):
        raise Refused("route", "This route does not lead from one end to the other.")
