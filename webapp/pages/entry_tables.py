"""A page's entry tables as one form: filled in from the design, read back, shown again to mend.

Each table sends its rows and, in one hidden field, the values that the page showed when it was
opened, so that the save can see what somebody else has changed since.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import HTTPException

from webapp.pages.entry_forms import Reader
from webapp.pages.forms import Form, field_as_typed
from webapp.stages.design import entry
from webapp.stages.design.entry import TABLE_LEVEL, RowsRefused, TypedRow, TypedTable
from webapp.stages.design.rows import Design


@dataclass(frozen=True)
class EntryTable:
    """One table of the page: `name` begins its fields' names.

    `ignore` names fields that are never empty, so that they do not make a row of themselves.
    """

    name: str
    table: str
    read: Reader
    ignore: tuple[str, ...] = ()

    @property
    def seen(self) -> str:
        return f"{self.name}-seen"

    @property
    def whole(self) -> str:
        """The field that stands for the table as a whole."""
        return f"{self.name}-table"

    def rows(self, form: Form) -> list[Form]:
        if self.table == "basis":
            return [Form(form.fields, prefix=f"{self.name}-", errors=form.errors)]
        return form.rows(self.name, ("id", *self.ignore))


def as_text(value: Any, name: str = "") -> str:
    """A value as it stands in its field."""
    return "; ".join(value) if isinstance(value, list) else field_as_typed(name, value)


def opened_form(design: Design, tables: Iterable[EntryTable]) -> Form:
    """The form as it opens: every row of every table."""
    fields: dict[str, str] = {}
    for table in tables:
        rows = entry.shown(design, table.table)
        fields[table.seen] = json.dumps(rows)
        for number, (uid, values) in enumerate(rows.items()):
            fields |= _row_fields(_prefix(table, number), uid, values)
    return Form(fields)


def _prefix(table: EntryTable, number: int) -> str:
    return f"{table.name}-" if table.table == "basis" else f"{table.name}-{number}-"


def _row_fields(prefix: str, uid: str, values: Mapping[str, Any]) -> dict[str, str]:
    return {f"{prefix}id": uid} | {
        prefix + name: as_text(value, name) for name, value in values.items()
    }


class SentTables:
    """The tables as they came back: `sheet` to save, `form` to show again."""

    def __init__(self, fields: Mapping[str, str], tables: Iterable[EntryTable]) -> None:
        self.form = Form(fields)
        self.tables = tuple(tables)
        self.rows: dict[str, list[Form]] = {}
        self.opened: dict[str, dict[str, dict[str, Any]]] = {}
        self.sheet: dict[str, TypedTable] = {}
        for table in self.tables:
            self._read(table)

    def _read(self, table: EntryTable) -> None:
        opened = _read_seen(self.form.typed(table.seen))
        rows = table.rows(self.form)
        typed = []
        for row in rows:
            table.read(row)
            uid = row.typed("id") or None
            before = opened.get(uid, {}) if uid else {}
            typed.append(TypedRow(uid, _values(row, before)))
        self.rows[table.table] = rows
        self.opened[table.table] = opened
        self.sheet[table.table] = TypedTable(tuple(typed), opened)

    def refuse(self, refused: RowsRefused) -> None:
        """Puts each sentence beside its field; after a clash the form goes on from what is now."""
        tables = {table.table: table for table in self.tables}
        for problem in refused.problems:
            if problem.index == TABLE_LEVEL:
                self.form.refuse(tables[problem.table].whole, problem.sentence)
            else:
                row = self.rows[problem.table][problem.index]
                row.refuse(problem.field or _first(problem.table), problem.sentence)
        fields = dict(self.form.fields)
        for table in self.tables:
            if refused.clash:
                fields |= self._gone_on(table, refused.now[table.table])
            kept = [problem.uid for problem in refused.problems if problem.table == table.table]
            fields |= self._put_back(table, filter(None, kept), refused.now[table.table])
        self.form = Form(fields, errors=self.form.errors)

    def _gone_on(self, table: EntryTable, now: Mapping[str, dict[str, Any]]) -> dict[str, str]:
        """What this form did not change shows what somebody else has made of it."""
        opened = self.opened[table.table]
        new = {table.seen: json.dumps({uid: now[uid] for uid in opened if uid in now})}
        for row in self.rows[table.table]:
            uid = row.typed("id")
            if uid not in now:
                new[row.name("id")] = ""
                continue
            for name, value in now[uid].items():
                was = opened.get(uid, {}).get(name)
                if row.name(name) in self.form.fields and row.typed(name) == as_text(was, name):
                    new[row.name(name)] = as_text(value, name)
        return new

    def _put_back(
        self, table: EntryTable, uids: Iterable[str], now: Mapping[str, dict[str, Any]]
    ) -> dict[str, str]:
        """Rows that could not be taken out stand in the table again, below the others."""
        back: dict[str, str] = {}
        for number, uid in enumerate(uids, _next_number(table, self.form)):
            back |= _row_fields(_prefix(table, number), uid, now[uid])
        return back


def _next_number(table: EntryTable, form: Form) -> int:
    numbers = [row.prefix.rstrip("-").rpartition("-")[2] for row in table.rows(form)]
    return max((int(number) for number in numbers if number.isdecimal()), default=-1) + 1


def _first(table: str) -> str:
    return {"run": "from_place", "basis": "supply_place"}.get(table, "name")


def _read_seen(text: str) -> dict[str, dict[str, Any]]:
    try:
        seen = json.loads(text or "{}")
    except (ValueError, RecursionError):
        raise HTTPException(422) from None
    if not isinstance(seen, dict) or not all(isinstance(each, dict) for each in seen.values()):
        raise HTTPException(422)
    return seen


def _values(row: Form, opened: Mapping[str, Any]) -> dict[str, Any]:
    """What the row says. A field that was left as it stood keeps the value, to the last figure."""
    return {
        name: opened[name]
        if name in opened and _left(row.typed(name), as_text(opened[name], name))
        else value
        for name, value in row.values.items()
    }


def _left(typed: str, text: str) -> bool:
    """A field of one line shows a note of several without its line ends."""
    return typed in (text, text.replace("\n", ""))
