"""The needs that a circuit serves, on its page: read, checked and saved as the needs page does."""

import json
from collections.abc import Mapping
from typing import Any

from sqlalchemy.orm import Session

from webapp.pages import entry_forms
from webapp.pages.entry_tables import EntryTable, SentTables, as_text
from webapp.pages.forms import Form
from webapp.pages.needs import more_words, suggestions
from webapp.stages.design import entry, needs
from webapp.stages.design.circuit_needs import served
from webapp.stages.design.entry import RowsRefused, Sheet
from webapp.stages.design.rows import Circuit, Design

TABLE = EntryTable("needs", "need", entry_forms.read_need, ignore=entry_forms.NEVER_EMPTY)


class NeedsForm:
    """The form as it opens, or as it came back."""

    def __init__(self, form: Form, sent: SentTables | None = None) -> None:
        self._form = form
        self._sent = sent

    @classmethod
    def opened(cls, design: Design, circuit: Circuit) -> "NeedsForm":
        every = entry.shown(design, "need")
        rows = {need.uid: every[need.uid] for need in served(design, circuit)}
        fields = {TABLE.seen: json.dumps(rows)}
        for number, (uid, values) in enumerate(rows.items()):
            prefix = f"{TABLE.name}-{number}-"
            fields[f"{prefix}id"] = uid
            fields |= {f"{prefix}{name}": as_text(value) for name, value in values.items()}
        return cls(Form(fields))

    @classmethod
    def sent(cls, fields: Mapping[str, str]) -> "NeedsForm":
        sent = SentTables(fields, (TABLE,))
        return cls(sent.form, sent)

    @property
    def form(self) -> Form:
        return self._sent.form if self._sent else self._form

    @property
    def sheet(self) -> Sheet:
        return self._sent.sheet if self._sent else {}

    def refuse(self, refused: RowsRefused) -> None:
        if self._sent:
            self._sent.refuse(refused)

    @property
    def rows(self) -> list[Form]:
        return TABLE.rows(self.form)


def needs_context(
    session: Session, design: Design, circuit: Circuit, typed: NeedsForm | None
) -> dict[str, Any]:
    """What the template of the needs' fields asks for."""
    return {
        "needs": typed or NeedsForm.opened(design, circuit),
        "labels": entry_forms.LABELS["need"],
        "kinds": entry_forms.KINDS,
        "units": entry_forms.UNITS,
        "need_services": [(each, each) for each in needs.SERVICES],
        "live_when": entry_forms.LIVE_WHEN,
        "laid_as": [(each, each) for each in needs.LAID_AS],
        "suggestions": suggestions(session, design),
        "more_words": more_words,
        "to_look_at": {uid: needs.to_look_at(need) for uid, need in design.need.items()},
    }
