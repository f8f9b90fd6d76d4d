"""The gate from design to the bench: nothing is left to mend, and a named person signs."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy.orm import Session

from webapp.records.jobs import Loom
from webapp.stages import journal
from webapp.stages.design import change_gate, revisions
from webapp.stages.design.accepted import Answered, answered, view_of
from webapp.stages.design.findings import Finding, findings_of
from webapp.stages.design.frozen import frozen_wires
from webapp.stages.design.rows import Design, load
from webapp.stages.refusals import Refused
from webapp.stages.stage_line import stage_of_loom


@dataclass(frozen=True)
class Obstacle:
    """One sentence of the gate, and where to mend it."""

    sentence: str
    address: str


@dataclass(frozen=True)
class Gate:
    revision: revisions.RevisionState
    obstacles: tuple[Obstacle, ...]
    warnings: tuple[Answered, ...]
    notes: tuple[Answered, ...]
    accepted: tuple[Answered, ...]

    @property
    def passes(self) -> bool:
        return not self.obstacles


def gate(session: Session, loom_id: int) -> Gate:
    """What stands between the latest revision and the bench."""
    revision = revisions.latest(session, loom_id)
    design = load(session, revision.id)
    found = answered(session, loom_id, findings_of(view_of(session, loom_id, design)))
    errors = [each.finding for each in found if each.finding.severity == "error"]
    open_ones = [each for each in found if each.accepted is None]
    obstacles = [
        *_stage_obstacles(session, loom_id, design),
        *(Obstacle(*lack) for lack in change_gate.lacking(session, loom_id, revision, design)),
        *(Obstacle(sentence_of(design, one), address_of(loom_id, one)) for one in errors),
    ]
    return Gate(
        revision,
        tuple(obstacles),
        tuple(each for each in open_ones if each.finding.severity == "warning"),
        tuple(each for each in open_ones if each.finding.severity == "note"),
        tuple(each for each in found if each.accepted is not None),
    )


def _stage_obstacles(session: Session, loom_id: int, design: Design) -> Iterator[Obstacle]:
    if stage_of_loom(session, loom_id) == "quote":
        yield Obstacle(
            "The loom is still being quoted: have the quote accepted, or go on to design without "
            "one and say why.",
            f"/looms/{loom_id}/price",
        )
    if not design.link:
        yield Obstacle("The design has no wires yet.", f"/looms/{loom_id}/needs")


def sentence_of(design: Design, finding: Finding) -> str:
    """A finding with the name of its row, for lists away from the row."""
    if finding.table == "wire":
        return f"Wire {design.link[finding.uid].number}: {finding.sentence}"
    if finding.table in ("fitting", "circuit"):
        name = design.table(finding.table)[finding.uid].name
        return (
            finding.sentence if finding.sentence.startswith(name) else f"{name}: {finding.sentence}"
        )
    if finding.table == "run":
        run = design.run[finding.uid]
        ends = (design.place[run.from_place_uid].name, design.place[run.to_place_uid].name)
        return f"Run {ends[0]} to {ends[1]}: {finding.sentence}"
    return finding.sentence


_PAGES = {
    "wire": "wires",
    "fitting": "fittings",
    "circuit": "circuits",
    "run": "runs",
    "need": "needs",
    "basis": "needs",
}
# Rows that are typed in a form: what is found about them stands below it.
_TYPED = frozenset({"run", "need", "basis"})


def address_of(loom_id: int, finding: Finding) -> str:
    row = "found" if finding.table in _TYPED else f"{finding.table}-{finding.uid}"
    return f"/looms/{loom_id}/{_PAGES[finding.table]}#{row}"


def sign_off(session: Session, loom_id: int, revision_id: int, person_id: int) -> str:
    """Freeze the revision that was looked at. Signing the same one twice is signing it once.

    Raises:
        Refused: something is still to mend, or another revision is the latest by now.
    """
    now = gate(session, loom_id)
    if now.revision.id != revision_id:
        raise Refused("", "A newer revision has been begun meanwhile. Look at that one.")
    if now.revision.signed_off:
        return now.revision.letter
    if not now.passes:
        raise Refused("", "There is still something to mend before the bench can have it.")
    design = load(session, revision_id)
    revisions.freeze(
        session,
        revision_id,
        person_id,
        {
            "wires": frozen_wires(design),
            "noted": [_frozen(each) for each in (*now.warnings, *now.notes, *now.accepted)],
        },
    )
    loom = session.get_one(Loom, loom_id)
    journal.write(
        session,
        loom.project_id,
        f"Revision {now.revision.letter} of {loom.name} signed off for the bench.",
        person_id,
        loom_id=loom_id,
    )
    return now.revision.letter


def _frozen(each: Answered) -> dict[str, Any]:
    """A finding as it stood, and who had accepted it and why."""
    frozen = asdict(each.finding)
    if each.accepted is not None:
        frozen["accepted"] = asdict(each.accepted) | {"at": each.accepted.at.isoformat()}
    return frozen
