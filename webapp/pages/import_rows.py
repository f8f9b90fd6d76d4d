"""What each line of a pasted list means for a loom, before anything is written.

The lines are read by the same rules as the entry tables. Saving reads the same text again, so
that what is written is what was shown.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from webapp.pages.entry_forms import KINDS, LABELS, UNIT_SPELLINGS, Reader
from webapp.pages.entry_tables import as_text
from webapp.pages.forms import Form
from webapp.stages.design import entry, needs
from webapp.stages.design.csv_out import cell
from webapp.stages.design.entry import TABLE_LEVEL, TypedRow, TypedTable
from webapp.stages.design.import_notes import (
    LAMP_KINDS,
    NamedNote,
    Understood,
    service_of,
    understand,
)
from webapp.stages.design.imports import Line, ReadList, plain_cell
from webapp.stages.design.names import key, place_name
from webapp.stages.design.rows import Design, Need, Run

# Fields that may be understood from words; the preview lets a person change them.
UNDERSTOOD = (
    "kind",
    "service",
    "switched_with",
    "second_place",
    *needs.FLAGS,
)
KIND_SPELLINGS = {title.casefold(): kind for kind, title in KINDS}
YES = {"yes", "y", "true", "1", "x"}
NO = {"", "no", "n", "false", "0", "-"}


@dataclass
class ImportRow:
    """One line: what it is, what it would change, why it is refused, what its words say."""

    line: Line
    name: str
    uid: str | None
    form: Form
    table: str
    asked: tuple[str, ...] = ()
    unclear: tuple[str, ...] = ()
    look: tuple[str, ...] = ()
    changes: list[tuple[str, str, str]] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)
    values: Mapping[str, Any] = field(default_factory=dict)
    # The row as it will be, in words.
    words: str = ""

    @property
    def key(self) -> object:
        """What makes it the same row as another: a need's name, the places that a run joins."""
        return key(self.name) if self.table == "need" else _ends(self.line)

    @property
    def good(self) -> bool:
        return not self.refused

    @property
    def state(self) -> str:
        """refused, new, changes or same."""
        if self.refused:
            return "refused"
        if self.uid is None:
            return "new"
        return "changes" if self.changes else "same"

    def refuse(self, name: str, sentence: str) -> None:
        self.refused.append((LABELS[self.table].get(name, "The line"), sentence))


def need_rows(
    design: Design, read: ReadList, reader: Reader, chosen: Mapping[str, str]
) -> list[ImportRow]:
    """The lines of a list of needs. `chosen` are the fields that were changed in the preview."""
    known = _uids_by_key(design)["need"]
    understood = _understood(design, read)
    rows = []
    for line, meant in zip(read.lines, understood, strict=True):
        uid = _known(line, design.need, known.get(key(line.cells.get("name", ""))))
        settled = uid is not None and design.need[uid].note == line.cells.get("note", "")
        if line.problem or line.cells.get("uid"):
            # A line that came out of here stands as it is: nothing is read from its words.
            proposed, meant = {}, Understood()
        elif uid is not None and settled:
            proposed = _settled(design.need[uid], meant)
        else:
            proposed = _proposed(line, uid, meant)
        prefix = f"rows-{line.number}-"
        asked = _asked(prefix, chosen, proposed)
        fields = _cells(prefix, line) | {prefix + k: as_text(v) for k, v in proposed.items()}
        # A box that is not ticked is not sent.
        fields |= {prefix + name: chosen.get(prefix + name, "") for name in asked if chosen}
        row = ImportRow(
            line, line.cells.get("name", ""), uid, Form(fields, prefix=prefix), "need", asked,
            () if settled else meant.unclear,
        )  # fmt: skip
        _tell_flags(row)
        _read(design, row, reader, (*read.fields, *asked))
        rows.append(row)
    _twice(rows)
    return rows


def run_rows(design: Design, read: ReadList, reader: Reader) -> list[ImportRow]:
    """The lines of a list of runs. A run is known by the two places that it joins."""
    known = _uids_by_key(design)["run"]
    rows = []
    for line in read.lines:
        ends = _ends(line)
        prefix = f"rows-{line.number}-"
        row = ImportRow(
            line,
            " to ".join(line.cells.get(end) or "?" for end in ("from_place", "to_place")),
            _known(line, design.run, known.get(ends)),
            Form(_cells(prefix, line), prefix=prefix),
            "run",
        )
        fields = [
            name
            for name in read.fields
            if row.uid is None or line.cells.get("uid") or not name.endswith("_place")
        ]
        _read(design, row, reader, fields)
        if row.good and row.uid is None and not line.cells.get("length_mm"):
            row.look = ("It has no length yet.",)
        rows.append(row)
    _twice(rows)
    return rows


def _known(line: Line, there: Collection[str], by_name: str | None) -> str | None:
    """The row that a line speaks of: that of its uid, else the one that is called so."""
    uid = line.cells.get("uid", "")
    return uid if uid in there else by_name


def _joined(design: Design, run: Run) -> frozenset[str]:
    ends = (run.from_place_uid, run.to_place_uid)
    return frozenset(key(place_name(design, end)) for end in ends)


def _ends(line: Line) -> frozenset[str]:
    return frozenset(key(line.cells.get(end, "")) for end in ("from_place", "to_place"))


def _cells(prefix: str, line: Line) -> dict[str, str]:
    fields = {prefix + name: cell for name, cell in line.cells.items()}
    for name in ("kind", "service"):
        if prefix + name in fields:
            plain = fields[prefix + name].casefold()
            fields[prefix + name] = KIND_SPELLINGS.get(plain, plain)
    if unit := line.cells.get("rating_unit"):
        fields[f"{prefix}rating_unit"] = UNIT_SPELLINGS.get(unit.casefold(), unit)
    return fields


def _understood(design: Design, read: ReadList) -> list[Understood]:
    listed = [
        NamedNote(
            line.cells.get("name", ""),
            line.cells.get("kind", "").casefold(),
            line.cells.get("note", ""),
            line.cells.get("switched_with", ""),
        )
        for line in read.lines
    ]
    named = {key(each.name) for each in listed}
    others = [
        NamedNote(need.name, need.kind, "", needs.values(design, need)["switched_with"])
        for need in design.need.values()
        if key(need.name) not in named
    ]
    return understand(listed, others)


def _settled(need: Need, meant: Understood) -> dict[str, Any]:
    """A note that was taken in before is not asked about again; a lamp stays what it was made."""
    return {"kind": need.kind} if "kind" in meant.values and need.kind in LAMP_KINDS else {}


def _proposed(line: Line, uid: str | None, meant: Understood) -> dict[str, Any]:
    """What the words add to the cells."""
    cells = line.cells
    proposed = {
        name: value for name, value in meant.values.items() if name == "kind" or not cells.get(name)
    }
    if uid is None and not cells.get("service"):
        kind = str(proposed.get("kind", cells.get("kind", ""))).casefold()
        proposed["service"] = service_of(cells.get("name", ""), kind)
    return proposed


def _asked(prefix: str, chosen: Mapping[str, str], proposed: Mapping[str, Any]) -> tuple[str, ...]:
    """The fields that the preview shows to be changed, in their own order."""
    shown = set(chosen.get(f"{prefix}asked", "").split()) if chosen else set(proposed)
    return tuple(name for name in UNDERSTOOD if name in shown)


def _tell_flags(row: ImportRow) -> None:
    fields = dict(row.form.fields)
    for flag in needs.FLAGS:
        text = row.form.typed(flag).strip().casefold()
        if text in YES | NO:
            fields[row.form.name(flag)] = "1" if text in YES else ""
        else:
            row.refuse(flag, f"{LABELS['need'][flag]}: write yes or no.")
    row.form = Form(fields, prefix=row.form.prefix)


def _read(design: Design, row: ImportRow, reader: Reader, fields: Iterable[str]) -> None:
    """Values, or why not. Of a row that is there already only the list's own fields count, and of
    those only what differs from what stands."""
    if row.line.problem:
        row.refuse("", row.line.problem)
        return
    reader(row.form)
    counted = set(LABELS[row.table]) if row.uid is None else set(fields) - _as_it_is(design, row)
    for name, sentence in row.form.errors.items():
        plain = name.removeprefix(row.form.prefix)
        if plain in counted:
            row.refuse(plain, sentence)
    row.values = {name: value for name, value in row.form.values.items() if name in counted}


def _as_it_is(design: Design, row: ImportRow) -> set[str]:
    """The fields in which the line says what stands already."""
    now = entry.RULES[row.table].values(design, design.table(row.table)[row.uid or ""])
    return {
        name
        for name, text in row.line.cells.items()
        if name in now and name not in row.asked and text == plain_cell(cell(now[name]))
    }


def _twice(rows: Sequence[ImportRow]) -> None:
    first: dict[object, int] = {}
    for row in rows:
        if row.line.problem:
            continue
        keys = [row.key, *([f"uid {row.uid}"] if row.uid else [])]
        before = next((first[each] for each in keys if each in first), None)
        if before is not None:
            row.refuse("name", f"Line {before} of the list has it already.")
        else:
            first |= dict.fromkeys(keys, row.line.number)


def weigh(design: Design, rows: Sequence[ImportRow], table: str) -> dict[str, TypedTable]:
    """Refuses what cannot stand together in the loom; returns what saving the good rows takes.

    A row may lean on one that is refused, so the rest is weighed again until it stands.
    """
    while True:
        good = [row for row in rows if row.good]
        sheet = {table: TypedTable(tuple(TypedRow(row.uid, row.values) for row in good))}
        made = entry.plan(design, sheet)
        for problem in made.problems:
            if problem.index != TABLE_LEVEL:
                good[problem.index].refuse(problem.field, problem.sentence)
        if not made.problems:
            break
    places = _uids_by_key(made.after)
    for row in good:
        _tell_changes(design, made.after, row, row.uid or places[table][row.key])
    return sheet


def _tell_changes(design: Design, after: Design, row: ImportRow, uid: str) -> None:
    rules, labels = entry.RULES[row.table], LABELS[row.table]
    now = rules.values(after, after.table(row.table)[uid])
    if row.uid is None:
        row.words = _need_words(now) if row.table == "need" else _run_words(now)
    else:
        before = rules.values(design, design.table(row.table)[uid])
        row.changes = [
            (labels[name], as_text(before[name]), as_text(now[name]))
            for name in now
            if now[name] != before[name]
        ]
    if row.table == "need":
        row.look = tuple(needs.to_look_at(after.need[uid]))


def _uids_by_key(design: Design) -> dict[str, dict[object, str]]:
    """Every need by its name, every run by the places that it joins."""
    return {
        "need": {key(need.name): uid for uid, need in design.need.items()},
        "run": {_joined(design, run): uid for uid, run in design.run.items()},
    }


def _need_words(now: Mapping[str, Any]) -> str:
    unit = "Ω" if now["rating_unit"] == "ohm" else now["rating_unit"]
    parts = [
        f"{now['quantity']} at {now['place']}",
        f"{now['kind']} {as_text(now['rating'])} {unit} at {as_text(now['rated_at_v'])} V",
        now["control"] + (f" at {now['control_place']}" if now["control_place"] else ""),
        now["duty"],
        f"drop {as_text(now['max_drop_percent'])} %",
    ]
    if now["inrush_a"] is not None:
        parts.append(f"inrush {as_text(now['inrush_a'])} A for {as_text(now['inrush_s'])} s")
    if now["max_fuse_a"] is not None:
        parts.append(f"fuse-link up to {as_text(now['max_fuse_a'])} A")
    return " · ".join(filter(None, [*parts, now["note"]]))


def _run_words(now: Mapping[str, Any]) -> str:
    length = f"{now['length_mm']:,} mm" if now["length_mm"] else ""
    parts = [
        f"{length} ± {now['plus_minus_mm']} mm" if length and now["plus_minus_mm"] else length,
        now["measured_how"],
        now["measured_by"],
        now["covering"],
        f"{as_text(now['surround_c']) or 0} °C around",
        now["through"],
    ]
    return " · ".join(filter(None, parts))


def new_places(design: Design, after: Design) -> list[str]:
    """The places that the rows name for the first time."""
    return [place.name for uid, place in after.place.items() if uid not in design.place]
