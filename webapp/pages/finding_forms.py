"""Forms under a finding name it by its rule, its row and what it says."""

from collections.abc import Mapping

from sqlalchemy.orm import Session

from webapp.pages.wires import wire_table
from webapp.stages.design.findings import Finding

FIELDS = ("rule", "table", "uid", "sentence")


def named_finding(session: Session, loom_id: int, fields: Mapping[str, str]) -> Finding | None:
    """The finding that a form names, if the design still has it in the same words."""
    asked = tuple(fields.get(name, "") for name in FIELDS)
    for found in wire_table(session, loom_id).findings.values():
        for one in (each.finding for each in found):
            if (one.rule, one.table, one.uid, one.sentence) == asked:
                return one
    return None
