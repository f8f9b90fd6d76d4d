"""Cells of the design tables: one value read, saved as one edit, or refused beside its field."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import HTTPException
from sqlalchemy.orm import Session

from webapp.pages.forms import Form, as_typed
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.commands import Clash
from webapp.stages.design.editing.edit import Edit, Editing, save
from webapp.stages.design.rows import Design
from webapp.stages.refusals import Refused

# Stands for a value that was seen but cannot be read: it is never what stands now.
UNREADABLE = object()


@dataclass(frozen=True)
class Cell:
    """How one value is read from `value` of a form, edited, and said in words after a clash."""

    read: Callable[[Form], None]
    editing: Callable[[Any, Any], Editing]
    words: Callable[[Any], str] = as_typed


@dataclass(frozen=True)
class Refusal:
    """A refused edit, to show again in the cell `field` of the row `row`."""

    row: str
    field: str
    typed: str
    sentence: str
    status: int

    def typed_in(self, row: str, field: str) -> str | None:
        return self.typed if (row, field) == (self.row, self.field) else None

    def error_in(self, row: str, field: str) -> str:
        return self.sentence if (row, field) == (self.row, self.field) else ""


@dataclass(frozen=True)
class Taken:
    """What became of a sent cell: an edit, or a refusal."""

    edit: Edit | None
    refusal: Refusal | None

    @property
    def status(self) -> int:
        return self.refusal.status if self.refusal else 200

    @property
    def said(self) -> tuple[str, ...]:
        return self.edit.said if self.edit else ()


def take(
    session: Session,
    loom_id: int,
    person_id: int,
    fields: Mapping[str, str],
    cells: Mapping[str, Cell],
    row: str,
    design: Design | None = None,
    parts: Catalogue | None = None,
) -> Taken:
    """Saves what was typed into one cell; `design` and `parts` where this transaction has read
    them already.
    """
    name, typed = fields.get("field", ""), fields.get("value", "")
    cell = cells.get(name)
    if cell is None:
        raise HTTPException(422)
    form = Form({"value": typed})
    value = _read(cell, form)
    if form.errors:
        return Taken(None, Refusal(row, name, typed, form.errors["value"], 422))
    seen_form = Form({"value": fields.get("seen", "")})
    seen = _read(cell, seen_form)
    try:
        edit = save(
            session,
            loom_id,
            cell.editing(value, UNREADABLE if seen_form.errors else seen),
            person_id,
            design,
            parts,
        )
    except Refused as refused:
        return Taken(None, Refusal(row, name, typed, refused.sentence, 422))
    except Clash as clash:
        theirs = cell.words(clash.current) or "nothing"
        sentence = (
            f"Somebody has set this to {theirs} meanwhile; you typed {typed or 'nothing'}. "
            f"Enter keeps yours, Esc theirs."
        )
        return Taken(None, Refusal(row, name, typed, sentence, 409))
    return Taken(edit, None)


def value_of(cell: Cell, typed: str) -> tuple[Any, str]:
    """What was typed as a value, and what is wrong with it."""
    form = Form({"value": typed})
    return _read(cell, form), form.errors.get("value", "")


def _read(cell: Cell, form: Form) -> Any:
    try:
        cell.read(form)
    except Refused as refused:
        form.refuse("value", refused.sentence)
    return form.values.get("value")


def text(
    label: str, *, most: int = 200, needed: bool = True, lines: bool = False
) -> Callable[[Form], None]:
    return lambda form: form.text("value", label, most=most, needed=needed, lines=lines)


def whole(label: str, *, least: int, most: int) -> Callable[[Form], None]:
    return lambda form: form.whole("value", label, least=least, most=most)


def mm(label: str, *, least: int, most: int, needed: bool = True) -> Callable[[Form], None]:
    return lambda form: form.mm("value", label, least=least, most=most, needed=needed)


def amps(label: str, *, most: float, needed: bool = True) -> Callable[[Form], None]:
    return lambda form: form.number("value", label, unit="A", above=0, most=most, needed=needed)


def as_is(form: Form) -> None:
    """A choice: the edit itself knows what is on offer."""
    form.values["value"] = form.typed("value").strip()


def found(label: str, known: Mapping[str, Any]) -> Callable[[Form], None]:
    """One of the names of `known` (folded), typed with suggestions; the value is what it names."""

    def read(form: Form) -> None:
        form.text("value", label, most=200)
        typed = form.values.get("value") or ""
        if form.errors:
            return
        name = " ".join(typed.split()).casefold()
        if name not in known:
            form.refuse("value", f"Nothing here is called “{typed[:60]}”: choose from the list.")
            return
        form.values["value"] = known[name]

    return read
