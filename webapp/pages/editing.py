"""Forms that two people may have open at once: what each showed when it was opened comes along.

    sent = Edit(fields, read_customer)
    try:
        with attempt(session, sent.form):
            customers.edit(session, customer_id, sent.opened, sent.typed)
    except ChangedMeanwhile as change:
        return both_values(request, change, …)
    if sent.form.errors: show the form again

The form's template calls `opened(was)` of macros/editing.html; `was` is `as_text` of the stored
values, or `edit.was` when the form is shown again.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from fastapi import HTTPException
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.forms import Form, field_as_typed
from webapp.pages.render import render
from webapp.stages.refusals import ChangedMeanwhile, Refused

OPENED = "was-"
CHOICE = "keep-"

AsText = Callable[[Mapping[str, Any]], dict[str, str]]


class Edit:
    """One sending of such a form: `form` to show again, `opened` and `typed` to save."""

    def __init__(self, fields: Mapping[str, str], read: Callable[[Form], None]) -> None:
        self.form = Form(_with_choices(fields))
        read(self.form)
        opened = Form(fields, prefix=OPENED)
        read(opened)
        if opened.errors:
            raise HTTPException(422)
        self.opened = opened.values
        self.typed = self.form.values
        self.was = {
            name.removeprefix(OPENED): value
            for name, value in fields.items()
            if name.startswith(OPENED)
        }


@contextmanager
def attempt(session: Session, form: Form) -> Iterator[None]:
    """Calls a stage; its refusal takes back what it had begun and lands beside the field."""
    try:
        with session.begin_nested():
            yield
    except Refused as refusal:
        form.refuse(refusal.field, refusal.sentence)


def _with_choices(fields: Mapping[str, str]) -> dict[str, str]:
    """The fields after somebody has chosen between two values: theirs is what stands now."""
    chosen = dict(fields)
    for name, choice in fields.items():
        if name.startswith(CHOICE) and choice == "theirs":
            field = name.removeprefix(CHOICE)
            chosen[field] = fields.get(OPENED + field, "")
    return chosen


def as_text(values: Mapping[str, Any]) -> dict[str, str]:
    """Stored values as they stand in the form's fields."""
    return {name: field_as_typed(name, value) for name, value in values.items()}


def both_values(
    request: Request,
    change: ChangedMeanwhile,
    *,
    action: str,
    back: str,
    labels: Mapping[str, str],
    text: AsText = as_text,
    shown: Callable[[str, str], str] = lambda _field, value: value,
) -> Response:
    """The page that shows theirs and yours side by side and lets one be chosen for each.

    `text` gives values as the form's fields hold them, `shown` says such a field in words.
    """
    theirs, yours = text(change.now), text(change.merged)
    rows = [
        (one.field, labels[one.field], shown(one.field, theirs[one.field]),
         shown(one.field, yours[one.field]))
        for one in change.both
    ]  # fmt: skip
    return render(
        request,
        "changed_meanwhile.html",
        status=409,
        rows=rows,
        merged=yours,
        was=theirs,
        action=action,
        back=back,
    )
