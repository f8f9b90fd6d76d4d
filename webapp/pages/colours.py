"""The workshop's own colour code, drawn as wires, and the colours that it has wire of."""

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter
from markupsafe import Markup
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.drawings.ends import EndState
from webapp.drawings.wire import wire_svg
from webapp.pages.deps import FieldsDep, ReadSession, WriteSession
from webapp.pages.editing import Edit, as_text, attempt, both_values
from webapp.pages.forms import Form
from webapp.pages.render import redirect, render
from webapp.sizing.colours import FUNCTIONS, Pair, colour_letters, drawing_rgb
from webapp.stages import colours
from webapp.stages.colours import NAMES, ONLY_STOCKED, field
from webapp.stages.design.editing.wires import read_colour
from webapp.stages.refusals import ChangedMeanwhile, Refused

router = APIRouter()
CODE = "workshop"
WIRE_PX = 60
OPTIONS = [(name, f"{name} {colour_letters(CODE, name)}") for name in NAMES]
LABELS = {
    ONLY_STOCKED: "Propose only what is in stock",
    **{field("main", each): f"{each.capitalize()}, main colour" for each in FUNCTIONS},
    **{field("tracer", each): f"{each.capitalize()}, tracer" for each in FUNCTIONS},
    **{field("plain", each): f"{each.capitalize()} wire, plain" for each in NAMES},
    **{field("tracers", each): f"{each.capitalize()} wire, tracers" for each in NAMES},
}


def read(form: Form) -> None:
    for function in FUNCTIONS:
        for what in ("main", "tracer"):
            name = field(what, function)
            form.choice(name, LABELS[name], NAMES, needed=False)
            form.values[name] = form.values.get(name) or ""
    for main in NAMES:
        form.yes(field("plain", main))
        _read_tracers(form, main)
    form.yes(ONLY_STOCKED)


def _read_tracers(form: Form, main: str) -> None:
    """Letters or names, in any order: BK, WH or black, light green."""
    name = field("tracers", main)
    form.text(name, LABELS[name], needed=False)
    typed = form.values[name].replace(";", ",").replace("/", ",")
    found: set[str] = set()
    try:
        for item in filter(None, (item.strip() for item in typed.split(","))):
            found |= _colours(item)
    except Refused as refusal:
        form.refuse(name, refusal.sentence)
    form.values[name] = tuple(colour for colour in NAMES if colour in found)


def _colours(item: str) -> set[str]:
    """One colour by its name, or several letters with spaces between them."""
    try:
        return {read_colour(CODE, item)}
    except Refused:
        return {read_colour(CODE, each) for each in item.split()}


def text(values: Mapping[str, Any]) -> dict[str, str]:
    """Values as they stand in the form's fields: tracers by their letters."""
    return as_text(
        {
            name: ", ".join(colour_letters(CODE, each) for each in value)
            if isinstance(value, tuple)
            else value
            for name, value in values.items()
        }
    )


def shown(name: str, value: str) -> str:
    if name == ONLY_STOCKED or name.startswith("plain-"):
        return "yes" if value else "no"
    return value or "none"


def drawn(pair: Pair) -> Markup:
    """A piece of wire with its letters beside it."""
    main, tracer = pair
    letters = colour_letters(CODE, main, tracer)
    svg = wire_svg(
        drawing_rgb(main),
        None if tracer is None else drawing_rgb(tracer),
        EndState.CUT,
        EndState.CUT,
        WIRE_PX,
        18,
        2.5,
        label=f"Wire {letters}",
    )
    return Markup('{}<span class="code">{}</span>').format(Markup(svg), letters)


def form_page(request: Request, session: Session, form: Form, was: Mapping[str, str]) -> Response:
    """The drawings show what is saved, and what follows where the workshop has set nothing."""
    code = colours.palette(session).workshop
    saved = colours.values(session)
    functions = [
        (
            each,
            drawn((code.functions[each].main, code.functions[each].tracer)),
            bool(saved[field("main", each)]),
        )
        for each in FUNCTIONS
    ]
    stock = [
        (
            main,
            [drawn((main, None))] if saved[field("plain", main)] else [],
            [drawn((main, tracer)) for tracer in saved[field("tracers", main)]],
        )
        for main in NAMES
    ]
    return render(
        request,
        "settings/colours.html",
        status=422 if form.errors else 200,
        form=form,
        was=was,
        functions=functions,
        stock=stock,
        options=OPTIONS,
        letters={name: colour_letters(CODE, name) for name in NAMES},
        field_of=field,
        labels=LABELS,
    )


@router.get("/colours")
def show(request: Request, session: ReadSession) -> Response:
    fields = text(colours.values(session))
    return form_page(request, session, Form(fields), fields)


@router.post("/colours")
def save(request: Request, session: WriteSession, fields: FieldsDep) -> Response:
    sent = Edit(fields, read)
    try:
        if not sent.form.errors:
            with attempt(session, sent.form):
                colours.edit(session, sent.opened, sent.typed)
    except ChangedMeanwhile as change:
        return both_values(
            request,
            change,
            action="/colours",
            back="/colours",
            labels=LABELS,
            text=text,
            shown=shown,
        )
    if sent.form.errors:
        return form_page(request, session, sent.form, sent.was)
    return redirect("/colours", notice="Saved. Looms keep their colours until the next proposal.")
