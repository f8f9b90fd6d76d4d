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
    def name(self) -> str:
        rest = [need.name for need in self.needs[1:]]
        return self.leader.name + (f" with {', '.join(rest)}" if rest else "")


def groups_of(needs: dict[str, Need]) -> list[Group]:
    """Needs that share a control, the named one first; charging sources before all others."""
    members: dict[str, list[Need]] = {}
    for need in needs.values():
        members.setdefault(_leader(needs, need).uid, []).append(need)
    groups = [
        Group(sorted(group, key=lambda need: need.uid != leader))
        for leader, group in members.items()
    ]
    return sorted(groups, key=lambda group: group.leader.kind != "source")


def _leader(needs: dict[str, Need], need: Need) -> Need:
    seen = {need.uid}
    while need.switched_with_uid in needs and need.switched_with_uid not in seen:
        need = needs[need.switched_with_uid]
        seen.add(need.uid)
    return need
