"""The stores: what the workshop can build with, found, priced, edited, added."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from decimal import Decimal
from typing import Any

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.editing import Edit, as_text, both_values
from webapp.pages.forms import Form
from webapp.pages.render import redirect, render
from webapp.records.catalogue import PART_KINDS
from webapp.stages import catalogue, stores, workshop
from webapp.stages.catalogue import CatalogPart
from webapp.stages.part_facts import KIND_FACTS, NUMBER, WHOLE, YES, Fact, in_words
from webapp.stages.refusals import ChangedMeanwhile, NotThere
from webapp.stages.stores import FACT, PartRefused

router = APIRouter()
LABELS = {
    "name": "Name",
    "price_minor": "Price",
    "price_per": "Price is for",
    "price_unit": "Counted in",
    "source": "Document, or where the facts come from",
    "confirmed": "Seen in that document",
    "stocked": "Kept in stock",
}


def labels(kind: str) -> dict[str, str]:
    """The labels of a kind's fields."""
    return LABELS | {FACT + fact.name: fact.label for fact in KIND_FACTS[kind]}


def reader(kind: str, currency: str) -> Callable[[Form], None]:
    """Reads the form of a kind of part."""

    def read(form: Form) -> None:
        form.text("name", LABELS["name"], most=120)
        form.money("price_minor", LABELS["price_minor"], currency=currency)
        form.whole("price_per", LABELS["price_per"], least=1, most=100_000)
        form.choice("price_unit", LABELS["price_unit"], stores.PRICE_UNITS)
        form.text("source", LABELS["source"], most=200, needed=False)
        form.yes("confirmed")
        form.yes("stocked")
        for fact in KIND_FACTS[kind]:
            _read_fact(form, fact)

    return read


def _read_fact(form: Form, fact: Fact) -> None:
    name = FACT + fact.name
    if fact.sort == NUMBER:
        form.number(name, fact.label, unit=fact.unit, least=fact.least, needed=fact.needed)
    elif fact.sort == WHOLE:
        form.whole(name, fact.label, least=int(fact.least), needed=fact.needed)
    elif fact.sort == YES:
        form.yes(name)
        form.values[name] = int(form.values[name])
    elif fact.options:
        form.choice(name, fact.label, fact.options, needed=fact.needed)
    else:
        form.text(name, fact.label, most=2000, needed=fact.needed)
    if name in form.values and form.values[name] is None:
        form.values[name] = ""


def text(values: Mapping[str, Any]) -> dict[str, str]:
    """Stored values as they stand in the form's fields."""
    fields = as_text(values)
    fields["price_minor"] = f"{Decimal(values['price_minor']) / 100:.2f}"
    return {
        name: "" if name.startswith(FACT) and values[name] == 0 and _is_yes(name) else value
        for name, value in fields.items()
    }


def _is_yes(name: str) -> bool:
    return name in {
        FACT + fact.name for facts in KIND_FACTS.values() for fact in facts if fact.sort == YES
    }


@router.get("/stores")
def show(request: Request, session: ReadSession) -> Response:
    form = Form(dict(request.query_params))
    form.text("q", "Words", most=200, needed=False)
    form.choice("kind", "Kind", PART_KINDS, needed=False)
    form.yes("stocked")
    parts = catalogue.read(session)
    found: list[CatalogPart] = []
    if not form.errors:
        found = stores.find(
            parts,
            text=form.values["q"],
            kind=form.values["kind"],
            stocked=form.values["stocked"],
        )
    return render(
        request,
        "stores/list.html",
        part="stores/_found.html",
        status=422 if form.errors else 200,
        form=form,
        empty_stores=not parts.parts,
        groups=[
            (kind, own) for kind in PART_KINDS if (own := [p for p in found if p.kind == kind])
        ],
        count=len(found),
        kinds=[(kind, kind) for kind in PART_KINDS],
        in_words=in_words,
        currency=workshop.get(session).currency,
    )


@router.get("/stores/new")
def show_new(request: Request, session: ReadSession, kind: str = "", like: str = "") -> Response:
    if like:
        part = stores.get(session, like)
        return form_page(request, session, part.kind, Form(text(stores.values(part))), None, {})
    if kind not in PART_KINDS:
        parts = catalogue.read(session)
        return render(
            request,
            "stores/new.html",
            kinds=[(each, parts.kind(each)) for each in PART_KINDS],
        )
    fields = {"price_per": "1", "price_unit": "each", "stocked": "1"}
    return form_page(request, session, kind, Form(fields), None, {})


@router.post("/stores/new")
def add(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, kind: str
) -> Response:
    if kind not in PART_KINDS:
        raise NotThere
    form = Form(fields)
    reader(kind, workshop.get(session).currency)(form)
    uid = ""
    if not form.errors:
        with beside(form):
            uid = stores.add(session, kind, form.values)
    if form.errors:
        return form_page(request, session, kind, form, None, {})
    return redirect(f"/stores/{uid}", notice=f"{form.values['name']} is added.")


@router.get("/stores/{uid}")
def show_one(request: Request, session: ReadSession, uid: str) -> Response:
    part = stores.get(session, uid)
    fields = text(stores.values(part))
    return form_page(request, session, part.kind, Form(fields), part, fields)


@router.post("/stores/{uid}")
def save(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, uid: str
) -> Response:
    part = stores.get(session, uid)
    sent = Edit(fields, reader(part.kind, workshop.get(session).currency))
    try:
        if not sent.form.errors:
            with beside(sent.form):
                stores.save(session, uid, sent.opened, sent.typed)
    except ChangedMeanwhile as change:
        return both_values(
            request,
            change,
            action=f"/stores/{uid}",
            back=f"/stores/{uid}",
            labels=labels(part.kind),
            text=text,
        )
    if sent.form.errors:
        return form_page(request, session, part.kind, sent.form, part, sent.was)
    return redirect(f"/stores/{uid}", notice="Saved. Quotes that are issued keep what they said.")


@contextmanager
def beside(form: Form) -> Iterator[None]:
    """Puts each refusal beside its field."""
    try:
        yield
    except PartRefused as refused:
        for name, sentence in refused.errors.items():
            form.refuse(name, sentence)


def form_page(
    request: Request,
    session: Session,
    kind: str,
    form: Form,
    part: CatalogPart | None,
    was: Mapping[str, str],
) -> Response:
    return render(
        request,
        "stores/one.html",
        status=422 if form.errors else 200,
        kind=kind,
        form=form,
        stored=part,
        was=was,
        labels=LABELS,
        facts=KIND_FACTS[kind],
        fact_prefix=FACT,
        units=[(unit, unit) for unit in stores.PRICE_UNITS],
        words=in_words(part) if part else "",
        currency=workshop.get(session).currency,
    )
