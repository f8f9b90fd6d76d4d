"""A list of parts: each line read by the rules of the stores' pages, shown before it is kept."""

from dataclasses import dataclass, field, replace
from typing import Any

from webapp.pages.forms import Form
from webapp.pages.import_rows import NO, YES
from webapp.pages.stores import labels, reader, text
from webapp.records.catalogue import PART_KINDS
from webapp.stages import part_list, stores
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.imports import Line, ReadList, plain_cell
from webapp.stages.part_facts import KIND_FACTS, in_words
from webapp.stages.part_facts import YES as YES_FACT
from webapp.stages.part_list import PartLine
from webapp.stages.stores import FACT

MOST_NOTE = 200
LABELS = {"uid": "uid", "kind": "Kind of part", "price_note": "Note on the price"}
# What a new part has where its line says nothing.
AT_FIRST = {"price_per": "1", "price_unit": "each", "stocked": "1"}
FLAGS = ("confirmed", "stocked")


@dataclass
class PartRow:
    """One line of the preview."""

    line: Line
    name: str
    part: PartLine | None
    refused: list[tuple[str, str]] = field(default_factory=list)
    changes: list[tuple[str, str, str]] = field(default_factory=list)
    words: str = ""
    look: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    unclear: tuple[str, ...] = ()

    @property
    def state(self) -> str:
        """refused, new, changes or same."""
        if self.refused or self.part is None:
            return "refused"
        if self.part.before is None:
            return "new"
        return "changes" if self.changes else "same"


def part_rows(parts: Catalogue, read: ReadList, currency: str) -> list[PartRow]:
    """What every line means."""
    rows = [_row(parts, line, currency) for line in read.lines]
    lines = [row.part for row in rows if row.part is not None]
    part_list.weigh(parts, [line for line in lines if line.good])
    for row in rows:
        line = row.part
        if line is None:
            continue
        kind_labels = _labels(line.part.kind)
        row.refused = [(kind_labels.get(n, n or "The line"), said) for n, said in line.refused]
        if line.good and line.before is None:
            row.words = _in_words(line.part, currency)
        elif line.good and line.before is not None:
            row.changes = _changes(line.before, line.part)
    return rows


def _labels(kind: str) -> dict[str, str]:
    known = {name.removeprefix(FACT): label for name, label in labels(kind).items()}
    return known | LABELS | {"price": known["price_minor"]}


def _in_words(part: CatalogPart, currency: str) -> str:
    price = f"{currency}{part.price_minor / 100:,.2f}"
    per = f" for {part.price_per:,}" if part.price_per != 1 else ""
    stock = "kept in stock" if part.stocked else "not kept"
    words = [part.kind, in_words(part), f"{price}{per} {part.price_unit}", part.source, stock]
    return " · ".join(filter(None, words))


def _changes(before: CatalogPart, now: CatalogPart) -> list[tuple[str, str, str]]:
    facts = list(dict.fromkeys((*before.facts, *now.facts)))
    was, new = part_list.part_cells(before, facts), part_list.part_cells(now, facts)
    names = _labels(now.kind)
    return [
        (names.get(name, name), plain_cell(was[name]), plain_cell(new[name]))
        for name in new
        if was[name] != new[name]
    ]


def _row(parts: Catalogue, line: Line, currency: str) -> PartRow:
    cells = line.cells
    row = PartRow(line, cells.get("name", ""), None)
    if line.problem:
        row.refused.append(("The line", line.problem))
        return row
    uid = cells.get("uid", "")
    before = part_list.find(parts, uid, cells.get("name", ""))
    kind = " ".join(cells.get("kind", "").split()).casefold() or (before.kind if before else "")
    if why := _why_not(before, uid, kind):
        row.refused.append(why)
        return row
    standing = before or replace(part_list.blank(kind), uid=uid)
    row.part = _read(parts, line, standing, before, currency)
    return row


def _why_not(before: CatalogPart | None, uid: str, kind: str) -> tuple[str, str] | None:
    if before is None and uid and (not part_list.UID.fullmatch(uid) or uid in stores.PAGES):
        return "uid", "A uid has letters, figures and - . _ +; leave it empty for a new part."
    if not kind:
        return LABELS["kind"], f"Say what kind of part it is: {', '.join(PART_KINDS)}."
    if kind not in PART_KINDS:
        return LABELS["kind"], f"No kind “{kind[:40]}”. Take one of: {', '.join(PART_KINDS)}."
    if before is not None and kind != before.kind:
        return LABELS["kind"], f"It is a {before.kind} and stays one: add a new part instead."
    return None


def _read(
    parts: Catalogue,
    line: Line,
    standing: CatalogPart,
    before: CatalogPart | None,
    currency: str,
) -> PartLine:
    """The part as the line has it. Of one that is there, only what differs counts."""
    kind = standing.kind
    known = part_list.known_facts(parts, kind)
    now = part_list.part_cells(standing, known)
    cells = {
        name: cell
        for name, cell in line.cells.items()
        if name not in ("uid", "kind") and (before is None or cell != plain_cell(now.get(name, "")))
    }
    found = PartLine(line.number, standing, before)
    _refuse_unknown(found, cells, known)
    own = {fact.name for fact in KIND_FACTS[kind]}
    fields = text(stores.values(standing)) if before else {"price_minor": "", **AT_FIRST}
    fields |= {
        FACT + name if name in own else name: cell
        for name, cell in cells.items()
        if cell or before is not None or name not in AT_FIRST
    }
    _tell_price(found, fields, cells)
    _tell_flags(found, fields, cells)
    form = Form(fields)
    reader(kind, currency)(form)
    form.text("price_note", LABELS["price_note"], most=MOST_NOTE, needed=False)
    told = {"price_minor" if name == "price" else name for name in cells}
    counted = told if before is not None else {*told, *own, *_columns()}
    for name, sentence in form.errors.items():
        plain = name.removeprefix(FACT)
        if plain in counted and not any(each == plain for each, _ in found.refused):
            found.refuse(plain, sentence)
    if found.good:
        found.part = _with(standing, form, counted, own, known, told)
    return found


def _columns() -> tuple[str, ...]:
    return (*stores.COLUMNS, "price_note")


def _with(
    standing: CatalogPart,
    form: Form,
    counted: set[str],
    own: set[str],
    known: set[str],
    told: set[str],
) -> CatalogPart:
    columns = {name: form.values[name] for name in _columns() if name in counted}
    priced = any(columns.get(n, getattr(standing, n)) != getattr(standing, n) for n in stores.PRICE)
    if priced and "price_note" not in told:
        # A price that was entered is no longer an invented one.
        columns["price_note"] = ""
    facts: dict[str, Any] = {}
    for name in counted & known:
        if name in own:
            facts[name] = _exact(form.values[FACT + name], form.typed(FACT + name))
        else:
            facts[name] = form.typed(name)
    facts = {name: value for name, value in facts.items() if value != standing.facts.get(name, "")}
    return part_list.with_values(standing, columns, facts)


def _exact(value: Any, typed: str) -> Any:
    """A whole number stays one, as the seed files' numbers do."""
    if isinstance(value, float) and value.is_integer() and "." not in typed:
        return int(value)
    return "" if value is None else value


def _refuse_unknown(found: PartLine, cells: dict[str, str], known: set[str]) -> None:
    columns = {*_columns(), "price"}
    for name, cell in cells.items():
        if cell and name not in known and name not in columns:
            found.refuse(name, f"A {found.part.kind} has no {name}: leave the cell empty.")


def _tell_price(found: PartLine, fields: dict[str, str], cells: dict[str, str]) -> None:
    """The price as the page shows it, or in the smallest coin; the form takes the first."""
    minor, shown = cells.get("price_minor", ""), cells.get("price", "")
    if "price_minor" in cells:
        whole = Form({"price_minor": minor})
        whole.whole("price_minor", "Price in the smallest coin")
        if whole.errors:
            found.refuse("price_minor", whole.errors["price_minor"])
            return
        pounds, rest = divmod(whole.values["price_minor"], 100)
        fields["price_minor"] = f"{pounds}.{rest:02}"
        if shown and shown.lstrip("£$€ ") != fields["price_minor"]:
            found.refuse("price", f"{shown} and {minor} in the smallest coin differ: give one.")
    elif "price" in cells:
        fields["price_minor"] = shown
    fields.pop("price", None)


def _tell_flags(found: PartLine, fields: dict[str, str], cells: dict[str, str]) -> None:
    yes_facts = {fact.name for fact in KIND_FACTS[found.part.kind] if fact.sort == YES_FACT}
    for name in (*FLAGS, *yes_facts):
        cell = cells.get(name, "").casefold()
        field_name = name if name in FLAGS else FACT + name
        if cell not in YES | NO:
            found.refuse(name, f"{_labels(found.part.kind)[name]}: write yes or no.")
        elif name in cells and (cell or found.before is not None):
            fields[field_name] = "1" if cell in YES else ""
