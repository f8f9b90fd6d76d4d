"""What stands around every page of a unit: its loom's frame, and the batch that it belongs to."""

from dataclasses import dataclass, replace

from sqlalchemy.orm import Session

from webapp.pages.loom_frame import LoomFrame, loom_frame
from webapp.stages import stage_line
from webapp.stages.building import units
from webapp.stages.building.units import UnitRow


@dataclass(frozen=True)
class UnitFrame:
    unit: UnitRow
    loom: LoomFrame
    batch: tuple[UnitRow, ...]

    @property
    def words(self) -> str:
        """unit 2 of 6."""
        return f"unit {self.unit.number} of {len(self.batch)}"


def unit_frame(session: Session, unit_id: int) -> UnitFrame:
    """The frame of one unit; its stage line is the unit's own.

    Raises:
        NotThere: no such unit.
    """
    unit = units.row(session, unit_id)
    frame = loom_frame(session, unit.loom_id)
    own_line = replace(frame, line=stage_line.of_unit(session, unit_id))
    return UnitFrame(unit, own_line, tuple(units.of_loom(session, unit.loom_id)))
