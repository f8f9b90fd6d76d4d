"""Which fuse-link stands before each wire, and what it asks of the wire."""

import math
from functools import cached_property

from webapp.sizing.fuse_gates import FUSE_KIND_IDS
from webapp.sizing.fuses import required_wire_current_a
from webapp.stages.design.currents import Currents, LoadFigures
from webapp.stages.design.rows import Bridge, Design, Link

UNFUSED = math.inf
MAIN_RETURN_KINDS = frozenset({"bar", "main bar", "earth stud", "supply"})


# What is traced: ratings of fuse-links play no part in the first, sizes of wires in neither.
_CURRENTS = frozenset(
    {
        "loads",
        "loads_through",
        "_other_paths",
        "moments",
        "_moment_of",
        "charging_edges",
        "source_a",
        "_heat_cache",
        "_drop_cache",
    }
)
_PROTECTION = frozenset(
    {"circuitry", "_fuse_cache", "_needed_cache", "_kind_of_fuse", "_feeds_at_a"}
)


class Fused(Currents):
    """Currents, and the fuse-links that they pass."""

    def __init__(self, design: Design) -> None:
        super().__init__(design)
        self._fuse_cache: dict[str, float | None] = {}
        self._needed_cache: dict[str, float] = {}

    def _take_traced(self, other: "Fused") -> None:
        """Take over what was traced on the same circuit in other sizes, or with other ratings."""
        same = self.design.bridge is other.design.bridge
        traced = _CURRENTS | _PROTECTION if same else _CURRENTS
        vars(self).update({name: value for name, value in vars(other).items() if name in traced})

    def fuse_of_load(self, load: LoadFigures) -> Bridge | None:
        """The first fuse-link between a load and the supply.

        What a machine feeds while it charges has none: the machine limits itself.
        """
        if load.path.charging:
            return None
        for uid in load.path.feed or ():
            if self.is_fuse(uid):
                return self.design.bridge[uid]
        return None

    def fuse_a(self, link: Link) -> float | None:
        """Rating of the fuse-link that a wire must stand; infinite where none stands before it.

        A return wire stands the fuse-links of the loads that it serves, together, but no more than
        the largest fuse-link that all of them share. What joins bars, studs and the battery stands
        a short between the feed and the return there as well.
        """
        if link.uid not in self._fuse_cache:
            self._fuse_cache[link.uid] = self._work_out_fuse_a(link)
        return self._fuse_cache[link.uid]

    def _work_out_fuse_a(self, link: Link) -> float | None:
        fed = self._fed_fuse_a(link)
        if fed is not None:
            return fed
        through = [load for load in self.loads_through.get(link.uid, []) if not load.path.charging]
        charging = self._charging_fuse_a(link)
        if not through and charging is None:
            return None
        ratings: dict[str, float] = {}
        for load in through:
            fuse = self.fuse_of_load(load)
            if fuse is None or fuse.fuse_a is None:
                return UNFUSED
            ratings[fuse.uid] = max(fuse.fuse_a, self._fed_at_a(load), ratings.get(fuse.uid, 0.0))
        served = min(sum(ratings.values()), self._shared_fuse_a(through)) if through else 0.0
        return max(served + (charging or 0.0), self._beside_a(link))

    def _fed_at_a(self, load: LoadFigures) -> float:
        """What protects a load's own feed: more than its nearest fuse-link where diodes feed it."""
        ways = (load.bridge.way_a_uid, load.bridge.way_b_uid)
        ratings = [self.circuitry.protection_a.get(uid, 0.0) for uid in ways]
        return max((rating for rating in ratings if math.isfinite(rating)), default=0.0)

    def _beside_a(self, link: Link) -> float:
        """For a main return: the largest fuse-link of a feed that could short to its outer end.

        On a vehicle every feed can touch the body, so a battery's earth strap stands them all.
        Source: common practice, the main return is no weaker than the main feed.
        """
        ends = [
            self.design.fitting[self.design.way[uid].fitting_uid]
            for uid in (link.from_way_uid, link.to_way_uid)
            if uid is not None
        ]
        if len(ends) < 2 or any(end.kind not in MAIN_RETURN_KINDS for end in ends):
            return 0.0
        if any(end.kind == "earth stud" for end in ends):
            return max(self._feeds_at_a.values(), default=0.0)
        return max(self._feeds_at_a.get(end.place_uid, 0.0) for end in ends)

    @cached_property
    def _feeds_at_a(self) -> dict[str, float]:
        """By place: the largest fuse-link of the feeds there."""
        found: dict[str, float] = {}
        for way_uid, rating in self.circuitry.protection_a.items():
            if math.isfinite(rating) and way_uid in self.design.way:
                place_uid = self.design.place_of_way(way_uid)
                found[place_uid] = max(rating, found.get(place_uid, 0.0))
        return found

    def _fed_fuse_a(self, link: Link) -> float | None:
        protection = self.circuitry.protection_a
        found = [
            protection[uid] for uid in (link.from_way_uid, link.to_way_uid) if uid in protection
        ]
        return min(found) if len(found) == 2 else None

    def _charging_fuse_a(self, link: Link) -> float | None:
        """The return of a charging source stands the fuse-link of its feed."""
        ratings = [
            self._feed_fuse_a(edges)
            for _, edges in self.charging_edges.values()
            if link.uid in edges
        ]
        return sum(ratings) if ratings else None

    def _feed_fuse_a(self, edges: set[str]) -> float:
        """The largest fuse-link that protects a wire between a charging source and the battery."""
        found = [
            fuse
            for uid in edges
            if (link := self.design.link.get(uid)) is not None
            and (fuse := self._fed_fuse_a(link)) is not None
            and math.isfinite(fuse)
        ]
        return max(found, default=0.0)

    def _shared_fuse_a(self, through: list[LoadFigures]) -> float:
        shared: set[str] | None = None
        for load in through:
            fuses = {uid for uid in load.path.feed or () if self.is_fuse(uid)}
            shared = fuses if shared is None else shared & fuses
        ratings = [self.design.bridge[uid].fuse_a or UNFUSED for uid in shared or ()]
        return min(ratings, default=UNFUSED)

    def fuse_kind(self, link: Link) -> str:
        """The family of the fuse-link before a wire, for its gates."""
        return self._kind_of_fuse.get(self.fuse_a(link), "blade-medium")

    @cached_property
    def _kind_of_fuse(self) -> dict[float | None, str]:
        """The family of the first fuse-link of each rating."""
        found: dict[float | None, str] = {}
        for bridge in self.design.bridge.values():
            if bridge.kind == "fuse" and bridge.fuse_kind:
                found.setdefault(bridge.fuse_a, bridge.fuse_kind)
        return found

    def needed_a(self, link: Link) -> float:
        """What the wire must carry for ever: its current, and what its fuse-link asks."""
        if link.uid not in self._needed_cache:
            self._needed_cache[link.uid] = self._work_out_needed_a(link)
        return self._needed_cache[link.uid]

    def _work_out_needed_a(self, link: Link) -> float:
        heat = self.heat_a(link.uid)
        rating = self.fuse_a(link)
        kind = self.fuse_kind(link)
        if rating is not None and math.isinf(rating):
            rating, kind = self._next_fuses_a(link), "bolt-down"
        if link.starter_cable or rating is None or math.isinf(rating) or rating <= 0:
            return heat
        if kind not in FUSE_KIND_IDS:
            return max(heat, 1.35 * rating)
        return max(heat, required_wire_current_a(rating, kind).value)

    def _next_fuses_a(self, link: Link) -> float:
        """The fuse-links that a wire between the supply and its first fuse-links leads to."""
        ratings: dict[str, float] = {}
        for load in self.loads_through.get(link.uid, []):
            fuses = [uid for uid in load.path.feed or () if self.is_fuse(uid)]
            if fuses:
                ratings[fuses[-1]] = self.design.bridge[fuses[-1]].fuse_a or 0.0
        return sum(ratings.values()) + (self._charging_fuse_a(link) or 0.0)

    def is_fuse(self, uid: str) -> bool:
        bridge = self.design.bridge.get(uid)
        return bridge is not None and bridge.kind == "fuse"
