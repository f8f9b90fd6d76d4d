"""The gate from test to done: the last reading of every test passes."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from webapp.stages import stage_line
from webapp.stages.building import units
from webapp.stages.refusals import Refused
from webapp.stages.testing.standing import ItemState, plan_of, states


@dataclass(frozen=True)
class TestGap:
    """A test that keeps the unit from being done."""

    __test__ = False

    sentence: str
    item_uid: str


def gaps(found: list[ItemState]) -> list[TestGap]:
    """What keeps the unit from being done; nothing when every item's last reading passes."""
    words = {"open": "not tested yet.", "failed": "failed: mend it and test again."}
    return [
        TestGap(f"{one.item.what}: {words.get(one.word, f'{one.why}.')}", one.item.uid)
        for one in found
        if one.word != "passed"
    ]


def pass_to_done(session: Session, unit_id: int, person_id: int) -> None:
    """
    Raises:
        NotThere: no such unit.
        Refused: it is not at test, or a test is missing or failed.
    """
    unit = units.get(session, unit_id)
    if stage_line.stage_of_unit(session, unit_id) != "test":
        raise Refused("", f"Unit {unit.serial} is not at test.")
    missing = gaps(states(session, unit, plan_of(session, unit)))
    if missing:
        raise Refused("", f"{len(missing)} tests are open. {missing[0].sentence}")
    stage_line.move(session, unit.loom_id, unit_id, "done", person_id)
