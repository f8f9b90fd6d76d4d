"""The work that one unit asks for, as plain values: steps, wires with their ends, other jobs.

A step's uid is made of the uids of the design, so that a tick means the same in the next revision.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from webapp.stages.design.wires import Wire

DEPTHS = ("short", "full")
# What has to be made anew on another wire, splice or plug when something that it rests on is.
MADE_ANEW = ("join", "assemble", "solder", "shrink", "tug")


@dataclass(frozen=True)
class Ask:
    """A value that is measured on the joint itself before its step counts as done."""

    kind: str  # height or pull
    low: float | None
    high: float | None
    unit: str  # mm or N
    confirmed: bool


@dataclass(frozen=True)
class Step:
    """One operation. `after` names the steps that must be finished first."""

    uid: str
    operation: str
    title: str
    detail: str = ""
    after: tuple[str, ...] = ()
    asks: tuple[Ask, ...] = ()
    # What a crimp tool is set up for before this step; nothing where it needs no set-up.
    setup: str = ""


@dataclass(frozen=True)
class EndWork:
    """What is done at one end of a wire; `side` is left or right."""

    uid: str
    side: str
    to: str
    place: str
    tag: str
    loose: bool
    in_plug: bool
    steps: tuple[Step, ...]
    # The splice's own step that joins this end, where it goes into one.
    joined_by: str | None = None


@dataclass(frozen=True)
class WireWork:
    """A wire: what is done to it as a whole before its ends, at each end, and as a whole after."""

    wire: Wire
    whole: tuple[Step, ...]
    left: EndWork
    right: EndWork
    last: tuple[Step, ...] = ()
    # Steps of the cable or pair that it lies in, which cut it.
    cut_with: tuple[str, ...] = ()

    @property
    def uid(self) -> str:
        return self.wire.uid

    @property
    def number(self) -> str:
        return self.wire.number

    @property
    def ends(self) -> tuple[EndWork, EndWork]:
        return self.left, self.right

    @property
    def steps(self) -> tuple[Step, ...]:
        return (*self.whole, *self.left.steps, *self.right.steps, *self.last)


@dataclass(frozen=True)
class OtherWork:
    """Work on a cable, a splice, a plug or a run rather than on a wire."""

    uid: str
    name: str
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class WorkPlan:
    """All that is to be done to one unit."""

    wires: tuple[WireWork, ...]
    others: tuple[OtherWork, ...]
    # Cables and twisted pairs: made before the ends of what lies in them.
    cables: tuple[OtherWork, ...] = ()

    @property
    def works(self) -> tuple[WireWork | OtherWork, ...]:
        return (*self.cables, *self.wires, *self.others)

    def __iter__(self) -> Iterator[Step]:
        """Work by work; a step that waits for another work's comes after that."""
        return iter(self._in_order)

    @cached_property
    def _in_order(self) -> tuple[Step, ...]:
        given: dict[str, Step] = {}
        for work in self.works:
            for step in work.steps:
                self._give(step, given)
        return tuple(given.values())

    def _give(self, step: Step, given: dict[str, Step]) -> None:
        if step.uid in given:
            return
        for uid in step.after:
            earlier = self.by_uid.get(uid)
            if earlier is not None:
                self._give(earlier, given)
        given[step.uid] = step

    @cached_property
    def by_uid(self) -> dict[str, Step]:
        return {step.uid: step for work in self.works for step in work.steps}

    @cached_property
    def place_of(self) -> dict[str, str]:
        """Where each step belongs, in words: "Wire 5, left end"."""
        found = {}
        for work in self.wires:
            for step in (*work.whole, *work.last):
                found[step.uid] = f"Wire {work.number}"
            for end in work.ends:
                for step in end.steps:
                    found[step.uid] = f"Wire {work.number}, {end.side} end"
        for other in (*self.cables, *self.others):
            for step in other.steps:
                found[step.uid] = other.name
        return found

    def named(self, step_uid: str) -> str:
        """Wire 5, left end: Crimp. A step that is not of this plan is named by its uid."""
        if step_uid not in self.by_uid:
            return step_uid
        return f"{self.place_of[step_uid]}: {self.by_uid[step_uid].title}"

    @cached_property
    def work_of(self) -> dict[str, str]:
        """The uid of the wire, splice, plug or run that each step belongs to."""
        return {step.uid: work.uid for work in self.works for step in work.steps}

    def made_anew_with(self, step_uids: Iterable[str]) -> set[str]:
        """The uids of these steps and of all that has to be made anew with them.

        Binding and covering are left out: they can stay while an end is remade.
        """
        reached = set(step_uids)
        to_look_at = list(reached)
        while to_look_at:
            later = self._go_with.get(to_look_at.pop(), set()) - reached
            reached |= later
            to_look_at += later
        return reached

    @cached_property
    def _go_with(self) -> dict[str, set[str]]:
        """By step, those right after it that are made anew with it."""
        found: dict[str, set[str]] = {}
        for step in self.by_uid.values():
            for uid in step.after:
                if self._goes_with(step, uid):
                    found.setdefault(uid, set()).add(step.uid)
        return found

    def _goes_with(self, step: Step, earlier_uid: str) -> bool:
        earlier = self.work_of.get(earlier_uid)
        if self.work_of[step.uid] == earlier or step.operation in MADE_ANEW:
            return True
        # Another length of cable: every end of its cores is made anew.
        return any(cable.uid == earlier for cable in self.cables)
