"""Forms under a finding name it by its rule, its row and what it says."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

from sqlalchemy.orm import Session

from webapp.pages.wires import wire_table
from webapp.stages.design.accepted import Answered
from webapp.stages.design.findings import Finding
from webapp.stages.design.sign_off import sentence_of


@dataclass(frozen=True)
class Found:
    """What is found about the rows of one page, and how each is said away from its row."""

    lines: list[Answered]
    words: Callable[[Finding], str]


def found_about(session: Session, loom_id: int, *tables: str) -> Found:
    """The findings about the rows of these tables, once there are wires to find anything in."""
    table = wire_table(session, loom_id)
    if not table.design.link:
        return Found([], partial(sentence_of, table.design))
    lines = [each for each in table.others if each.finding.table in tables]
    return Found(lines, partial(sentence_of, table.design))


FIELDS = ("rule", "table", "uid", "sentence")


def named_finding(session: Session, loom_id: int, fields: Mapping[str, str]) -> Finding | None:
    """The finding that a form names, if the design still has it in the same words."""
    asked = tuple(fields.get(name, "") for name in FIELDS)
    for found in wire_table(session, loom_id).findings.values():
        for one in (each.finding for each in found):
            if (one.rule, one.table, one.uid, one.sentence) == asked:
                return one
    return None
