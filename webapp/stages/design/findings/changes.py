"""What has changed since a revision was signed off, under each row that differs."""

from collections.abc import Iterator
from dataclasses import fields

from webapp.stages.design.findings.finding import COMMON_PRACTICE, Rule, Said, View
from webapp.stages.design.names import listed
from webapp.stages.design.row_words import KEEPING, label, row_name
from webapp.stages.design.rows import TABLE_OF, Row

# Rows of these tables have a place on a page; the rest belong to one of them.
_SHOWN = {"basis": "basis", "need": "need", "fitting": "fitting", "circuit": "circuit",
          "run": "run", "link": "wire"}  # fmt: skip
_OWNER = {"way": "fitting_uid", "bridge": "fitting_uid", "crossing": "link_uid",
          "wire_end": "link_uid"}  # fmt: skip
_OWNING = {"way": "fitting", "bridge": "fitting", "crossing": "link", "wire_end": "link"}


def changed_since(view: View) -> Iterator[Said]:
    before = view.signed
    if before is None:
        return
    changed: dict[tuple[str, str], dict[str, None]] = {}
    gone: list[str] = []
    for table in (*_SHOWN, *_OWNER):
        old, new = before.table(table), view.design.table(table)
        for uid, row in new.items():
            for word in _differences(old.get(uid), row):
                changed.setdefault(_where(table, row), {})[word] = None
        if table in _SHOWN:
            gone += [row_name(before, row) for uid, row in old.items() if uid not in new]
    for (table, uid), words in changed.items():
        if table == "basis" or uid in view.design.table("link" if table == "wire" else table):
            said = "Added" if "added" in words else f"Changed ({listed(list(words))})"
            yield Said(table, uid, f"{said} since the last sign-off.")
    if gone:
        yield Said("basis", "basis", f"Taken out since the last sign-off: {listed(gone)}.")


def _where(table: str, row: Row) -> tuple[str, str]:
    if table in _OWNER:
        return _SHOWN[_OWNING[table]], getattr(row, _OWNER[table])
    return _SHOWN[table], "basis" if table == "basis" else row.uid


def _differences(old: Row | None, new: Row) -> Iterator[str]:
    """What differs, in words; a row that belongs to another and is new is a change of that."""
    if old is None:
        yield "added" if TABLE_OF[type(new)] in _SHOWN else "what belongs to it"
        return
    for each in fields(new):
        if each.name not in KEEPING and getattr(old, each.name) != getattr(new, each.name):
            yield label(each.name)


RULES = (
    Rule(
        "changed since sign-off",
        "note",
        "0 rows differ from the revision that was signed off last.",
        COMMON_PRACTICE,
        changed_since,
    ),
)
