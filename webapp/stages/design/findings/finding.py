"""What a finding is, and what the rules look at."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.figures import Figures
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import Wire, wires

COMMON_PRACTICE = "common practice"


@dataclass(frozen=True)
class Mend:
    """The one change that puts a finding right, where only one is right."""

    words: str
    table: str
    uid: str
    field: str
    value: Any


@dataclass(frozen=True)
class Finding:
    """severity: error (blocks sign-off), warning or note. table and uid: the row it stands under.

    table is wire (the uid of the link), fitting, circuit, run, need or basis.
    """

    rule: str
    severity: str
    table: str
    uid: str
    sentence: str
    source: str = COMMON_PRACTICE
    mend: Mend | None = None


class View:
    """A design with all that the rules share, worked out once."""

    def __init__(self, design: Design, catalogue: Catalogue) -> None:
        self.design = design
        self.catalogue = catalogue
        self.figures = Figures(design)

    @cached_property
    def wires(self) -> list[Wire]:
        return wires(self.design)

    @cached_property
    def on_way(self) -> dict[str, list[Wire]]:
        """The wires that end on each way."""
        found: dict[str, list[Wire]] = {}
        for wire in self.wires:
            for end in wire.ends:
                if end.way_uid is not None:
                    found.setdefault(end.way_uid, []).append(wire)
        return found

    def name(self, fitting_uid: str) -> str:
        return self.design.fitting[fitting_uid].name

    def way_name(self, way_uid: str) -> str:
        return self.design.way_name(way_uid)
