"""Which circuits share a fuse-link: those controlled at one place, where the basis asks for it.

Never needs that must not fail together, never what a vessel or vehicle depends on, and never more
than the fuse-link of any of them allows.
"""

from dataclasses import dataclass, field

from webapp.stages.design.controls import ALWAYS
from webapp.stages.design.proposal.builder import Builder, Target
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.loads import COIL_A, load_a
from webapp.stages.design.proposal.supply import BOARD_MOST_A, Supply
from webapp.stages.design.rows import Need

BY_PLACE = "by place"
# A lasting load is 75 % of its fuse-link at most: common practice.
LASTING_SHARE = 0.75
# A larger fuse-link would ask every wire behind it to be too thick for 6.3 mm tabs, well within
# what a board's way carries: common practice.
SHARED_FUSE_MOST_A = 15.0
SHARED_MOST_A = LASTING_SHARE * min(SHARED_FUSE_MOST_A, BOARD_MOST_A)
# What must not go out with anything else: common practice.
ALONE = frozenset(
    {
        "navigation", "pump", "engine stop", "start", "charge", "ignition", "horn", "stop lamp",
        "head lamp dip", "head lamp main", "side lamp", "indicator left", "indicator right",
    }
)  # fmt: skip
_PATTERNS = frozenset(
    {"permanent", "contact", "relay", "two-way", "change-over", "flasher", "door switches"}
)


@dataclass
class Share:
    """Circuits behind one fuse-link."""

    place_uid: str
    number: int
    groups: list[Group] = field(default_factory=list)
    amps: float = 0.0

    @property
    def origin(self) -> str:
        return f"share/{self.place_uid}/{self.number}"


class Sharing:
    """The plan of what shares, made before anything is laid."""

    def __init__(self, builder: Builder, supply: Supply, groups: list[Group]) -> None:
        self.b = builder
        self.supply = supply
        self._shares: dict[str, Share] = {}
        if builder.inputs.basis.fuse_sharing == BY_PLACE and not supply.single:
            self._plan([group for group in groups if self._may_share(group)])

    def share_of(self, group: Group, side: str) -> Share | None:
        """The share of a group's feed (of a relay's coil; its contact has a fuse-link alone)."""
        if (side == "coil") != (group.pattern == "relay"):
            return None
        return self._shares.get(group.uid)

    def join(self, share: Share, circuit_uid: str, ways: list[str]) -> None:
        """Lead these ways to the share's fuse-link, which stands as soon as one asks for it."""
        if share.origin not in self.b.spreads:
            circuit = self.b.add_circuit(
                f"{share.origin}/circuit", f"Feed, {self.b.place_name(share.place_uid)}", "other",
                None,
            )  # fmt: skip
            slot = self.supply.board_way(share.origin, circuit)
            self.b.spread(share.origin, circuit, slot, [])
        self.b.join(share.origin, *(Target(way, circuit_uid) for way in ways))

    def _plan(self, groups: list[Group]) -> None:
        by_place: dict[str, list[Group]] = {}
        for group in groups:
            by_place.setdefault(group.place_uid, []).append(group)
        for place_uid, found in by_place.items():
            shares: list[Share] = []
            for group in found:
                amps = self._amps(group)
                share = next((each for each in shares if self._fits(each, group, amps)), None)
                if share is None:
                    share = Share(place_uid, len(shares) + 1)
                    shares.append(share)
                share.groups.append(group)
                share.amps += amps
            self._shares |= {
                group.uid: share
                for share in shares
                if len(share.groups) > 1
                for group in share.groups
            }

    def _amps(self, group: Group) -> float:
        if group.pattern == "relay":
            return COIL_A
        return sum(load_a(self.b, need) * need.quantity for need in group.needs)

    def _may_share(self, group: Group) -> bool:
        control = group.control
        return (
            group.leader.kind != "source"
            and control is not None
            and not control.key_position
            and group.pattern in _PATTERNS
            and not group.before_isolator
            and all(_joins_others(need) for need in group.needs)
            and self._within(self._amps(group), group.needs)
        )

    def _fits(self, share: Share, group: Group, amps: float) -> bool:
        there = [need for other in share.groups for need in other.needs]
        return self._within(share.amps + amps, [*there, *group.needs]) and not any(
            apart(one, other) for one in there for other in group.needs
        )

    def _within(self, amps: float, needs: list[Need]) -> bool:
        """Whether a fuse-link for this current is no larger than any of them may have."""
        if amps > SHARED_MOST_A:
            return False
        most = min((need.max_fuse_a for need in needs if need.max_fuse_a), default=None)
        return most is None or self._rating_a(amps / LASTING_SHARE) <= most

    def _rating_a(self, least_a: float) -> float:
        """The smallest fuse-link of the boards that is no less."""
        ratings = [
            part.number("rating_a")
            for part in self.b.catalogue.kind("fuse-link")
            if part.text("fuse_kind") == self.supply.kinds.board
        ]
        return min((rating for rating in ratings if rating >= least_a), default=least_a)


def _joins_others(need: Need) -> bool:
    """An inrush asks for a larger fuse-link than the others' wires would like."""
    return (
        need.live_when == ALWAYS
        and need.service not in ALONE
        and need.inrush_a is None
        and need.feeds == 1
        and not need.own_lead
    )


def apart(one: Need, other: Need) -> bool:
    """Whether they must not fail together."""
    return one.apart_from_uid == other.uid or other.apart_from_uid == one.uid
