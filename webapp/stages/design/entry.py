"""Tables typed on a page become one command: rows added, changed and taken out.

A table brings its rows as typed, and each row as the page showed it when it was opened. What
somebody else has changed since stays, unless both changed the same value: then nothing is saved
and both values are shown.
"""

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.records.design import DesignCommand
from webapp.records.jobs import Loom
from webapp.stages.design import basis, commands, needs, places, revisions, runs
from webapp.stages.design.commands import Change, changed, difference, new_uid
from webapp.stages.design.names import Names, listed
from webapp.stages.design.rows import (
    ROW_TYPES,
    Design,
    Row,
    load,
    row_from_values,
)
from webapp.stages.editing import merged
from webapp.stages.refusals import ChangedMeanwhile, NotThere, Refused

TABLE_LEVEL = -1


@dataclass(frozen=True)
class Rules:
    """How one table is typed: see places.py, runs.py, needs.py and basis.py."""

    one: str
    many: str
    values: Callable[[Design, Any], dict[str, Any]]
    columns: Callable[[dict[str, Any], dict[str, Any], Names], dict[str, Any]]
    problems: Callable[[Design, Collection[str]], Iterator[tuple[str, str, str]]]
    uses: Callable[[Design, str], list[str]]


# In the order in which they are taken in.
RULES = {
    "place": Rules(
        "place", "places", places.values, places.columns, places.problems, places.uses
    ),
    "run": Rules("run", "runs", runs.values, runs.columns, runs.problems, runs.uses),
    "need": Rules("need", "needs", needs.values, needs.columns, needs.problems, needs.uses),
    "basis": Rules(
        "basis", "what the sizing rests on",
        basis.values, basis.columns, basis.problems, basis.uses,
    ),
}  # fmt: skip


@dataclass(frozen=True)
class TypedRow:
    """A row as typed; `uid` is None for a new one. Values that it lacks stay as they are."""

    uid: str | None
    values: Mapping[str, Any]


@dataclass(frozen=True)
class TypedTable:
    """`opened` has, by uid, the values that the page showed: a row of it not sent is taken out."""

    rows: tuple[TypedRow, ...] = ()
    opened: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)


Sheet = Mapping[str, TypedTable]


@dataclass(frozen=True)
class RowProblem:
    """What to mend in row `index` of a table (TABLE_LEVEL: in the table as a whole)."""

    table: str
    index: int
    field: str
    sentence: str
    clash: bool = False
    # Of a row that was to be taken out.
    uid: str = ""


@dataclass(frozen=True)
class Plan:
    """What a save would do, and what keeps it from being done."""

    after: Design
    changes: tuple[Change, ...]
    problems: tuple[RowProblem, ...]
    sentence: str


class RowsRefused(Exception):
    """Something is to be mended; nothing was saved. `now` has every table's values as they are."""

    def __init__(
        self, problems: tuple[RowProblem, ...], now: dict[str, dict[str, dict[str, Any]]]
    ) -> None:
        super().__init__("; ".join(problem.sentence for problem in problems))
        self.problems = problems
        self.now = now

    @property
    def clash(self) -> bool:
        """Two people changed the same value."""
        return any(problem.clash for problem in self.problems)


def latest(session: Session, loom_id: int) -> Design:
    """The design that an edit of this loom starts from.

    Raises:
        NotThere: no such loom.
    """
    if session.get(Loom, loom_id) is None:
        raise NotThere
    return load(session, revisions.latest(session, loom_id).id)


def stamp(session: Session, loom_id: int) -> str:
    """Changes with every edit of the loom's design: what was shown is still so, or not."""
    revision_id = revisions.latest(session, loom_id).id
    last = session.scalar(
        select(func.max(DesignCommand.id)).where(DesignCommand.revision_id == revision_id)
    )
    return f"{revision_id}.{last or 0}"


def shown(design: Design, table: str) -> dict[str, dict[str, Any]]:
    """Every row of a table as it is typed, by uid."""
    values = RULES[table].values
    return {uid: values(design, row) for uid, row in design.table(table).items()}


def save(session: Session, loom_id: int, sheet: Sheet, person_id: int | None) -> str:
    """Takes the tables in as one command. Returns its sentence; "" when nothing changes.

    A loom whose latest revision is signed off gets its next one.

    Raises:
        NotThere: no such loom.
        RowsRefused: something is to be mended.
    """
    design = latest(session, loom_id)
    made = plan(design, sheet)
    if made.problems:
        raise RowsRefused(made.problems, {table: shown(design, table) for table in RULES})
    if not made.changes:
        return ""
    revision_id = revisions.open_for_edit(session, loom_id)
    commands.write(session, revision_id, made.sentence, made.changes, person_id)
    return made.sentence


def plan(design: Design, sheet: Sheet) -> Plan:
    """What saving the sheet on this design would do. Nothing is written."""
    return _Planner(design, sheet).plan()


class _Planner:
    def __init__(self, design: Design, sheet: Sheet) -> None:
        self.before = design
        self.sheet = sheet
        self.names = Names(design)
        self.problems: list[RowProblem] = []
        self.rows: dict[str, dict[str, Any]] = {t: dict(design.table(t)) for t in RULES}
        # The uid that each typed row has or gets; None for a row that is passed over.
        self.uids: dict[str, list[str | None]] = {}
        self.touched: dict[str, dict[str, int]] = {table: {} for table in RULES}

    def plan(self) -> Plan:
        for table, typed in self.sheet.items():
            self.uids[table] = self._identify(table, typed)
            self._take_out(table, typed)
        for table in (t for t in RULES if t in self.sheet):
            if table == "need":
                self.names.take_needs(self._need_names())
            self._put(table, self.sheet[table])
            if table == "place":
                self.names.take_places(self.rows["place"].values())
        self.rows["place"] |= {place.uid: place for place in self.names.made}
        for table in RULES:
            self._in_order(table)
        after = self._after()
        self._check(after)
        changes = () if self.problems else tuple(difference(self.before, after))
        if not any(_told(change) for change in changes):
            changes = ()
        return Plan(after, changes, tuple(self.problems), _sentence(changes))

    def _identify(self, table: str, typed: TypedTable) -> list[str | None]:
        there = self.rows[table]
        found: list[str | None] = []
        for index, row in enumerate(typed.rows):
            if row.uid is None or row.uid in found:
                found.append(new_uid())
            elif row.uid in there:
                found.append(row.uid)
            else:
                found.append(None)
                opened = typed.opened.get(row.uid, {})
                if any(opened.get(name) != value for name, value in row.values.items()):
                    self._refuse(
                        table, index, "",
                        f"Somebody has taken this {RULES[table].one} out meanwhile. Save again to "
                        "put it back as it stands here, or take the row out.",
                        clash=True,
                    )  # fmt: skip
        return found

    def _take_out(self, table: str, typed: TypedTable) -> None:
        kept = set(self.uids[table])
        for uid, opened in typed.opened.items():
            row = self.rows[table].get(uid)
            if row is None or uid in kept or table == "basis":
                continue
            now = RULES[table].values(self.before, row)
            if any(now.get(name) != value for name, value in opened.items()):
                self._refuse(
                    table, TABLE_LEVEL, "",
                    f"Somebody has changed the {RULES[table].one} {_name(self.before, table, row)} "
                    "since you opened this page: look at it again before you take it out.",
                    clash=True, uid=uid,
                )  # fmt: skip
            else:
                del self.rows[table][uid]

    def _need_names(self) -> Iterator[tuple[str, str]]:
        typed_names = {}
        for uid, row in zip(self.uids["need"], self.sheet["need"].rows, strict=True):
            if uid is not None and row.values.get("name"):
                typed_names[uid] = str(row.values["name"])
        for uid, need in self.rows["need"].items():
            yield typed_names.pop(uid, need.name), uid
        for uid, name in typed_names.items():
            yield name, uid

    def _put(self, table: str, typed: TypedTable) -> None:
        for index, (uid, row) in enumerate(zip(self.uids[table], typed.rows, strict=True)):
            if uid is None:
                continue
            try:
                if uid in self.rows[table]:
                    self._change(table, uid, row, typed.opened.get(uid, {}), index)
                else:
                    self._add(table, uid, row)
                    self.touched[table][uid] = index
            except Refused as refusal:
                self._refuse(table, index, refusal.field, refusal.sentence)

    def _add(self, table: str, uid: str, row: TypedRow) -> None:
        whole = dict(row.values)
        kept = RULES[table].columns(whole, whole, self.names)
        self.rows[table][uid] = ROW_TYPES[table](uid=uid, **kept)

    def _change(
        self, table: str, uid: str, row: TypedRow, opened: Mapping[str, Any], index: int
    ) -> None:
        standing: Row = self.rows[table][uid]
        now = RULES[table].values(self.before, standing)
        try:
            whole = merged(now=now, opened=opened, typed=row.values)
        except ChangedMeanwhile as change:
            for both in change.both:
                self._refuse(
                    table, index, both.field,
                    f"Somebody has set this to {_words(both.theirs)} meanwhile; you have "
                    f"{_words(both.yours)}. Save again to keep yours, or type theirs.",
                    clash=True,
                )  # fmt: skip
            return
        new = {name: value for name, value in whole.items() if value != now[name]}
        if not new:
            return
        self.touched[table][uid] = index
        kept = RULES[table].columns(new, whole, self.names)
        different = {n: v for n, v in kept.items() if v != getattr(standing, n)}
        if different:
            after = changed(standing, **different).after or {}
            self.rows[table][uid] = row_from_values(table, after)

    def _in_order(self, table: str) -> None:
        """New rows stand where they were typed; the others keep their places."""
        standing = self.before.table(table)
        order = [uid for uid in self.rows[table] if uid in standing]
        typed = [uid for uid in self.uids.get(table, []) if uid in self.rows[table]]
        for at, uid in enumerate(typed):
            if uid in standing:
                continue
            if at:
                order.insert(order.index(typed[at - 1]) + 1, uid)
            else:
                following = next((each for each in typed if each in standing), None)
                order.insert(order.index(following) if following else len(order), uid)
        placed = set(order)
        order += [uid for uid in self.rows[table] if uid not in placed]
        rows, last = {}, -1
        for uid in order:
            row = self.rows[table][uid]
            if table != "basis" and row.position <= last:
                row = replace(row, position=last + 1)
            last = row.position
            rows[uid] = row
        self.rows[table] = rows

    def _after(self) -> Design:
        (kept_basis,) = self.rows["basis"].values()
        gone = self.before.need.keys() - self.rows["need"].keys()
        return replace(
            needs.let_go(self.before, gone),
            basis=kept_basis,
            place=self.rows["place"],
            run=self.rows["run"],
            need=self.rows["need"],
        )

    def _check(self, after: Design) -> None:
        # What is taken out is still named where something hangs on it.
        named = replace(after, place=self.before.place | after.place)
        for table, rules in RULES.items():
            touched = self.touched[table]
            whole = after if table == "place" else named
            for uid, name, sentence in rules.problems(whole, touched):
                self._refuse(table, touched[uid], name, sentence)
            for uid in self.before.table(table).keys() - after.table(table).keys():
                if used := rules.uses(named, uid):
                    name = _name(self.before, table, self.before.table(table)[uid])
                    verb = "uses" if len(used) == 1 else "use"
                    self._refuse(
                        table, TABLE_LEVEL, "",
                        f"The {rules.one} {name} cannot be taken out: {listed(used)} {verb} it. "
                        "Change that first.",
                        uid=uid,
                    )  # fmt: skip

    def _refuse(
        self,
        table: str,
        index: int,
        name: str,
        sentence: str,
        *,
        clash: bool = False,
        uid: str = "",
    ) -> None:
        self.problems.append(RowProblem(table, index, name, sentence, clash, uid))


def _name(design: Design, table: str, row: Any) -> str:
    return runs.name(design, row) if table == "run" else str(row.name)


def _words(value: Any) -> str:
    if value is None or value in ("", []):
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    return f"“{'; '.join(value) if isinstance(value, list) else value}”"


def _sentence(changes: tuple[Change, ...]) -> str:
    """Needs: 3 added, 1 changed; places: 2 added."""
    parts = []
    for table, rules in reversed(RULES.items()):
        own = [change for change in changes if change.table == table and _told(change)]
        if table == "basis" and own:
            parts.append("what the sizing rests on: changed")
            continue
        counts = (
            (sum(1 for change in own if change.before is None), "added"),
            (sum(1 for change in own if change.before and change.after), "changed"),
            (sum(1 for change in own if change.after is None), "taken out"),
        )
        said = ", ".join(f"{count} {what}" for count, what in counts if count)
        if said:
            parts.append(f"{rules.many}: {said}")
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:]}"


def _told(change: Change) -> bool:
    """A row that only moved up or down is not worth a word."""
    before, after = change.before, change.after
    if before is None or after is None:
        return True
    return any(before[name] != after[name] for name in before if name != "position")
