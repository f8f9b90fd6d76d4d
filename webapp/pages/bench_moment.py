"""A unit as a bench page finds it: its design, its work and how that stands."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from webapp.stages.building.bench import StepState
from webapp.stages.building.crimp_setups import SetUp
from webapp.stages.building.parts import Parts
from webapp.stages.building.steps import WireWork, WorkPlan
from webapp.stages.design.rows import Design
from webapp.stages.photos import PhotoRow


@dataclass(frozen=True)
class Moment:
    """The unit as it stands."""

    design: Design
    parts: Parts
    plan: WorkPlan
    states: Mapping[str, StepState]
    setups: Mapping[str, SetUp]
    photos: Mapping[str, Sequence[PhotoRow]]

    @cached_property
    def words(self) -> dict[str, str]:
        return {uid: now.state for uid, now in self.states.items()}

    @cached_property
    def wire_at(self) -> dict[str, int]:
        """Where each wire stands among all."""
        return {work.uid: number for number, work in enumerate(self.plan.wires)}

    @cached_property
    def wires_of(self) -> dict[str, list[tuple[WireWork, str]]]:
        """The wires that end at each fitting, and at which way."""
        found: dict[str, list[tuple[WireWork, str]]] = {}
        for work in self.plan.wires:
            for at in work.wire.ends:
                if at.way_uid:
                    fitting_uid = self.design.way[at.way_uid].fitting_uid
                    found.setdefault(fitting_uid, []).append((work, at.way_uid))
        return found
