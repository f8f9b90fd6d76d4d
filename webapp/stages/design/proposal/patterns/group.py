"""Needs that work from one control stand together and become one circuit."""

from dataclasses import dataclass, field

from webapp.stages.design.controls import Control, control_of
from webapp.stages.design.proposal.builder import Placed
from webapp.stages.design.rows import Need


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
    def uid(self) -> str:
        return self.leader.uid

    @property
    def control(self) -> Control | None:
        return control_of(self.leader.control)

    @property
    def pattern(self) -> str:
        return self.control.pattern if self.control else ""

    @property
    def what(self) -> str:
        """The sort of part that is worked, or that works by itself."""
        return self.control.what if self.control else ""

    @property
    def in_earth(self) -> bool:
        return self.control is not None and self.control.in_earth

    @property
    def live_when(self) -> str:
        """When its feed is live: as the key's position says, or as its needs ask."""
        if self.control and self.control.key_position:
            return self.control.key_position
        return self.leader.live_when

    @property
    def only_in_neutral(self) -> bool:
        return any(need.only_in_neutral for need in self.needs)

    @property
    def before_isolator(self) -> bool:
        return any(need.before_isolator for need in self.needs)

    @property
    def place_uid(self) -> str:
        """Where it is controlled."""
        return self.leader.control_place_uid or self.leader.place_uid

    @property
    def name(self) -> str:
        rest = [need.name for need in self.needs[1:]]
        return self.leader.name + (f" with {', '.join(rest)}" if rest else "")

    @property
    def sides(self) -> tuple[list[Need], list[Need]]:
        """The needs on either output of a change-over.

        The first need that is switched with the leader and serves something else (or simply the
        first) stands on the other side, with the needs of its service or switched with it.
        """
        rest = self.needs[1:]
        unlike = [need for need in rest if need.service != self.leader.service]
        second = next(iter(unlike or rest), None)
        if second is None:
            return self.needs, []
        other = [
            need
            for need in rest
            if need is second
            or need.switched_with_uid == second.uid
            or (need.service == second.service and need in unlike)
        ]
        return [need for need in self.needs if need not in other], other


def groups_of(needs: dict[str, Need]) -> list[Group]:
    """Needs that share a control, the named one first.

    Charging sources come before all others, since these may lead to their field terminals, a
    second battery after the machine that works its relay; what is fed through diodes last, since
    the diodes are joined to what feeds the others.
    """
    members: dict[str, list[Need]] = {}
    for need in needs.values():
        members.setdefault(_leader(needs, need).uid, []).append(need)
    groups = [
        Group(sorted(group, key=lambda need: need.uid != leader))
        for leader, group in members.items()
    ]
    return sorted(groups, key=_turn)


def _turn(group: Group) -> int:
    if group.leader.kind == "source":
        return 1 if group.pattern == "split charge" else 0
    return 3 if group.pattern == "diode fed" else 2


def _leader(needs: dict[str, Need], need: Need) -> Need:
    """The need whose control works it; what charges is worked by nothing and works nothing."""
    seen = {need.uid}
    while not _fed_by_diodes(need) and need.kind != "source":
        other = needs.get(need.switched_with_uid or "")
        if other is None or other.uid in seen or other.kind == "source":
            break
        need = other
        seen.add(need.uid)
    return need


def _fed_by_diodes(need: Need) -> bool:
    control = control_of(need.control)
    return control is not None and control.pattern == "diode fed"
