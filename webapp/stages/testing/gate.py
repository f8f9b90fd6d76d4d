"""The gate from test to done: the last reading of every test passes."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from webapp.records.bench import Unit
from webapp.stages import stage_line
from webapp.stages.building import crimp_standing, units
from webapp.stages.building.units import UnitRow
from webapp.stages.refusals import Refused
from webapp.stages.testing.standing import ItemState, plan_of, states


@dataclass(frozen=True)
class TestGap:
    """What keeps the unit from being done; `group` is that of a crimp set-up."""

    __test__ = False

    sentence: str
    item_uid: str = ""
    group: str = ""


def gaps(found: list[ItemState]) -> list[TestGap]:
    """What keeps the unit from being done; nothing when every item's last reading passes."""
    words = {"open": "not tested yet.", "failed": "failed: mend it and test again."}
    return [
        TestGap(f"{one.item.what}: {words.get(one.word, f'{one.why}.')}", one.item.uid)
        for one in found
        if one.word != "passed"
    ]


def crimp_gaps(session: Session, unit: Unit | UnitRow) -> list[TestGap]:
    """Set-ups that failed at the last, with which this unit was crimped."""
    found = crimp_standing.test_gaps(session, unit)
    return [TestGap(gap.sentence, group=gap.group) for gap in found]


def pass_to_done(session: Session, unit_id: int, person_id: int) -> None:
    """
    Raises:
        NotThere: no such unit.
        Refused: it is not at test, or a test is missing or failed.
    """
    unit = units.get(session, unit_id)
    if stage_line.stage_of_unit(session, unit_id) != "test":
        raise Refused("", f"Unit {unit.serial} is not at test.")
    missing = gaps(states(session, unit, plan_of(session, unit))) + crimp_gaps(session, unit)
    if missing:
        raise Refused("", f"{len(missing)} tests are open. {missing[0].sentence}")
    stage_line.move(session, unit.loom_id, unit_id, "done", person_id)
