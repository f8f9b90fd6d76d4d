"""A list as it was understood, before anything of it is kept."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from sqlalchemy.orm import Session
from starlette.datastructures import FormData, UploadFile

from webapp.pages.forms import Form
from webapp.stages.design import imports
from webapp.stages.design.imports import ReadList
from webapp.stages.design.rows import Link

CHANGED = (
    "The design was changed after this list was shown. The list below is weighed against the "
    "design as it is now: look through it again, then import it."
)
NOTHING = "There is nothing in this list to import: every row is refused, or changes nothing."
COLUMN = re.compile(r"column-([0-9]{1,3})", re.ASCII)
SOME_REFUSED = (
    "Some rows are refused. Put them right in the list and look again, or tick that the others "
    "are to be imported without them."
)


class Row(Protocol):
    """A line of the preview."""

    @property
    def state(self) -> str: ...


@dataclass
class Preview:
    """What each line means; `keep` writes it for a person and says what was done."""

    read: ReadList
    rows: Sequence[Row]
    keep: Callable[[Session, int], object]
    new_places: list[str] = field(default_factory=list)
    # Fittings that lines name and the loom has not: the place that the list gives them.
    missing: Mapping[str, str] = field(default_factory=dict)
    # Wires of the loom that the list does not name.
    left_out: Sequence[Link] = ()
    take_out: bool = False
    said: Sequence[str] = ()

    def count(self, *states: str) -> int:
        return sum(1 for row in self.rows if row.state in states)

    @property
    def shown(self) -> Sequence[Row]:
        """The rows to look through. Of wires and parts there are many that stay as they are."""
        if self.read.kind.id in ("wires", "parts"):
            return [row for row in self.rows if row.state != "same"]
        return self.rows

    @property
    def refused(self) -> int:
        return self.count("refused")

    @property
    def to_import(self) -> int:
        return self.count("new", "changes")

    @property
    def something(self) -> bool:
        """Whether keeping it changes anything."""
        return bool(self.to_import or (self.take_out and self.left_out))

    @property
    def summary(self) -> str:
        """3 new, 1 changes a row, 2 are there already, 1 refused."""
        counts = (
            (self.count("new"), "new", "new"),
            (self.count("changes"), "changes what is there", "change what is there"),
            (self.count("same"), "is there already", "are there already"),
            (self.count("differs"), "differs from the job's card", "differ from the job's card"),
            (self.count("unused"), "is not used", "are not used"),
            (self.refused, "is refused", "are refused"),
        )
        return ", ".join(f"{n} {one if n == 1 else many}" for n, one, many in counts if n)

    def refuse(self, sent: Form) -> None:
        """Says in the form why the list cannot be kept as it is."""
        if not self.something:
            sent.refuse("preview", NOTHING)
        elif self.refused and sent.typed("without_refused") != "1":
            sent.refuse("preview", SOME_REFUSED)


def sent_form(form: FormData) -> Form:
    """What was sent, without a file."""
    return Form({name: value for name, value in form.multi_items() if isinstance(value, str)})


def take_file(sent: Form, upload: object) -> None:
    """Puts the text of a chosen file into the box, so that it can be put right there.

    Raises:
        NotAList: too large, or no text.
    """
    if isinstance(upload, UploadFile) and upload.filename:
        data = upload.file.read(imports.MOST_BYTES + 1)
        sent.fields = {**sent.fields, "text": imports.decode(data).removeprefix("\ufeff")}


def taken_for(sent: Form) -> list[str] | None:
    """What a person has taken each column for; None where nobody was asked yet."""
    chosen = {
        int(match.group(1)): value
        for name, value in sent.fields.items()
        if (match := COLUMN.fullmatch(name))
    }
    return [chosen.get(at, "") for at in range(max(chosen) + 1)] if chosen else None


def template_of(sent: Form, page: str) -> str:
    """The page, or the same in a dialog on another."""
    return "imports/_pasted.html" if sent.typed("in_dialog") else page
