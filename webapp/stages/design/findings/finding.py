"""What a rule and a finding are, and what the rules look at."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from webapp.sizing.colours import COMMON_PALETTE, Pair, Palette
from webapp.sizing.reasons import COMMON_PRACTICE, FROM_MEMORY
from webapp.sizing.terminations import FitProblem
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.bundles import run_diameters
from webapp.stages.design.choices import by_contact
from webapp.stages.design.figures import Figures
from webapp.stages.design.nets import function_of, joined_links, joint_of_way, return_ways
from webapp.stages.design.prospective import prospective_a
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import Wire, wires

SEVERITIES = ("error", "warning", "note")


@dataclass(frozen=True)
class Change:
    """One field of one row set to a value."""

    table: str
    uid: str
    field: str
    value: Any


@dataclass(frozen=True)
class Mend:
    """What puts a finding right, where only one thing is right: all its changes at once, or an
    edit by name (`editing/mending.py: ACTIONS`) with what it is about."""

    words: str
    changes: tuple[Change, ...] = ()
    action: str = ""
    about: tuple[Any, ...] = ()


def change(words: str, table: str, uid: str, field: str, value: Any) -> Mend:
    """A mend of one change."""
    return Mend(words, (Change(table, uid, field, value),))


@dataclass(frozen=True)
class Said:
    """What a rule says of one row. table is wire (the uid of the link), fitting, circuit, run,
    need or basis. `source` only where it is narrower than the rule's."""

    table: str
    uid: str
    sentence: str
    mend: Mend | None = None
    source: str = ""


@dataclass(frozen=True)
class Finding:
    """What a rule said, with the rule's severity: error (blocks sign-off), warning or note."""

    rule: str
    severity: str
    table: str
    uid: str
    sentence: str
    source: str
    mend: Mend | None = None


@dataclass(frozen=True)
class Rule:
    """One name, one severity, one threshold in words with its figure and unit, and its source: a
    document, `common practice`, or a document `from memory`."""

    name: str
    severity: str
    threshold: str
    source: str
    find: Callable[["View"], Iterator[Said]]
    # It asks for the diameter of bundles, which takes long, and speaks of runs alone.
    of_bundles: bool = False

    def findings(self, view: "View") -> Iterator[Finding]:
        for said in self.find(view):
            yield Finding(
                self.name,
                self.severity,
                said.table,
                said.uid,
                said.sentence,
                said.source or self.source,
                said.mend,
            )


class View:
    """A design with all that the rules share, worked out once.

    `palette` is the workshop's own colours; `signed` the revision that was signed off last, where
    this one follows it; `figures` the design's own, where they are there already.
    """

    def __init__(
        self,
        design: Design,
        catalogue: Catalogue,
        *,
        palette: Palette = COMMON_PALETTE,
        signed: Design | None = None,
        figures: Figures | None = None,
    ) -> None:
        self.design = design
        self.catalogue = catalogue
        self.palette = palette
        self.signed = signed
        self.figures = figures or Figures(design)
        # What is wrong with each wire end in its terminal, by the end's uid.
        self.fit_problems: dict[str, tuple[FitProblem, ...]] = {}
        # What each rule has found, by its name, as soon as that was asked for.
        self.found: dict[str, list[Finding]] = {}

    @cached_property
    def wires(self) -> list[Wire]:
        return wires(self.design)

    @cached_property
    def wires_of(self) -> dict[str, list[Wire]]:
        """The wires that each link is cut into."""
        found: dict[str, list[Wire]] = {}
        for wire in self.wires:
            found.setdefault(wire.link.uid, []).append(wire)
        return found

    @cached_property
    def nets(self) -> list[list[str]]:
        """Links that are joined."""
        return joined_links(self.design)

    @cached_property
    def net_of(self) -> dict[str, int]:
        """Which of the nets a link belongs to."""
        return {uid: number for number, net in enumerate(self.nets) for uid in net}

    @cached_property
    def function_of(self) -> dict[str, str]:
        """What each link is for, in the words of the colour codes."""
        return {
            uid: function_of(self.design, link, returning=uid in self.returning)
            for uid, link in self.design.link.items()
        }

    @cached_property
    def functions_of_net(self) -> list[set[str]]:
        """What the links of each net are for."""
        return [{self.function_of[uid] for uid in net} for net in self.nets]

    @cached_property
    def pairs(self) -> set[Pair]:
        """Every pair of main colour and tracer that is used."""
        return {(link.main, link.tracer or None) for link in self.design.link.values()}

    @cached_property
    def returning(self) -> set[str]:
        """Links that are joined to the return side."""
        ways = return_ways(self.design)
        links = self.design.link
        found = [
            net
            for net in self.nets
            if any({links[uid].from_way_uid, links[uid].to_way_uid} & ways for uid in net)
        ]
        return {uid for net in found for uid in net}

    @cached_property
    def joints(self) -> dict[str, str]:
        """For each way the joint that it is part of."""
        return joint_of_way(self.design)

    @cached_property
    def parallel(self) -> dict[str, list[str]]:
        """Links that lie beside others from joint to joint, with the others' uids."""
        joints = self.joints
        between: dict[frozenset[str], list[str]] = {}
        for link in self.design.link.values():
            if link.from_way_uid and link.to_way_uid:
                ends = frozenset((joints[link.from_way_uid], joints[link.to_way_uid]))
                between.setdefault(ends, []).append(link.uid)
        return {
            uid: [other for other in beside if other != uid]
            for ends, beside in between.items()
            if len(beside) > 1 and len(ends) > 1
            for uid in beside
        }

    @cached_property
    def terminals(self) -> dict[str, list[CatalogPart]]:
        """The stores' terminals by what they mate with."""
        return by_contact(self.catalogue)

    @cached_property
    def bundles_mm(self) -> dict[str, float]:
        """Diameter of the bundle in each run that has wires. [mm]"""
        return run_diameters(self.design, self.catalogue)

    @cached_property
    def on_way(self) -> dict[str, list[Wire]]:
        """The wires that end on each way."""
        found: dict[str, list[Wire]] = {}
        for wire in self.wires:
            for end in wire.ends:
                if end.way_uid is not None:
                    found.setdefault(end.way_uid, []).append(wire)
        return found

    @cached_property
    def prospective_a(self) -> dict[str, float]:
        """Short-circuit current at each fuse-link, by the uid of its bridge. [A]"""
        return prospective_a(self.figures)

    def name(self, fitting_uid: str) -> str:
        return self.design.fitting[fitting_uid].name

    def way_name(self, way_uid: str) -> str:
        return self.design.way_name(way_uid)


__all__ = [
    "COMMON_PRACTICE",
    "FROM_MEMORY",
    "SEVERITIES",
    "Change",
    "Finding",
    "Mend",
    "Rule",
    "Said",
    "View",
    "change",
]
