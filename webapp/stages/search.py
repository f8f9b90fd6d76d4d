"""Finds a job again by whatever is at hand: number, customer, wire, part, note, serial, code.

Every word has to occur. Designs are looked through in their latest revision only.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import ColumnElement, Select, Text, and_, cast, func, or_, select, true, union
from sqlalchemy.orm import Session
from sqlalchemy.orm.attributes import InstrumentedAttribute

from webapp.records.bench import CrimpSetup, Unit
from webapp.records.catalogue import Part
from webapp.records.customers import Customer
from webapp.records.design import (
    Bridge,
    Circuit,
    Fitting,
    Link,
    Need,
    Place,
    Revision,
    Run,
    WireEnd,
)
from webapp.records.jobs import JournalEntry, Loom, Project, ReceivedPart
from webapp.records.quotes import Quote
from webapp.stages import codes, journal
from webapp.stages.building import crimp_standing
from webapp.stages.design.revisions import letter

MOST_OF_A_KIND = 25
# A recall of a lot wants every unit.
MOST_SET_UPS = 200
WIRE_NUMBER = re.compile(r"(?:wire|w)?\s*([0-9]{1,4})[a-z]?", re.IGNORECASE)


@dataclass(frozen=True)
class Hit:
    """One thing found, and the ids that lead to its page."""

    title: str
    detail: str = ""
    project_id: int | None = None
    loom_id: int | None = None
    unit_id: int | None = None
    customer_id: int | None = None
    part_uid: str | None = None


@dataclass(frozen=True)
class Group:
    """Things of one kind; `page` is the loom's page that shows them."""

    title: str
    hits: tuple[Hit, ...]
    page: str = ""
    more: bool = False


@dataclass(frozen=True)
class Straight:
    """What a code, a job number or a serial number names, when that is all that was typed."""

    project_id: int
    loom_id: int | None = None
    unit_id: int | None = None


def straight_to(session: Session, text: str) -> Straight | None:
    """The one thing that `text` as a whole names."""
    text = text.strip()
    named = codes.find(session, text)
    if named is not None:
        return Straight(named.project_id, named.loom_id, named.unit_id)
    project_id = session.scalar(select(Project.id).where(Project.number == text))
    if project_id is not None:
        return Straight(project_id)
    row = session.execute(
        select(Loom.project_id, Unit.loom_id, Unit.id)
        .join(Loom, Loom.id == Unit.loom_id)
        .where(func.lower(Unit.serial) == text.lower())
    ).one_or_none()
    if row is not None:
        return Straight(*row)
    quote = session.execute(
        select(Loom.project_id, Loom.id)
        .join(Quote, Quote.loom_id == Loom.id)
        .where(func.lower(Quote.number) == text.lower())
    ).one_or_none()
    return None if quote is None else Straight(*quote)


def search(session: Session, text: str, *, for_office: bool = True) -> tuple[Group, ...]:
    """Everything that holds every word of `text`, grouped by what it is.

    For the bench no customers, and nothing of quotes.
    """
    words = text.split()
    if not words:
        return ()
    finders = (
        _jobs,
        *((_customers,) if for_office else ()),
        _units,
        _crimp_set_ups,
        _received,
        _wires,
        _needs_and_places,
        _fittings,
        _circuits,
        _looms_with_part,
        _parts,
        _journal if for_office else _journal_without_quotes,
    )
    return tuple(group for finder in finders if (group := finder(session, words)).hits)


def _all_words(words: Iterable[str], *columns: InstrumentedAttribute[Any]) -> ColumnElement[bool]:
    """Each word occurs in one of the columns; % and _ are only characters."""
    return and_(
        true(),
        *(or_(*(column.contains(word, autoescape=True) for column in columns)) for word in words),
    )


def _group(
    session: Session,
    title: str,
    query: Select[*tuple[Any, ...]],
    fields: tuple[str, ...],
    page: str = "",
) -> Group:
    """The rows of `query` as hits; its columns are named by `fields`."""
    rows = session.execute(query.limit(MOST_OF_A_KIND + 1)).all()
    hits = tuple(Hit(**dict(zip(fields, row, strict=True))) for row in rows[:MOST_OF_A_KIND])
    return Group(title, hits, page, more=len(rows) > MOST_OF_A_KIND)


_JOB_TITLE = Project.number + " " + Project.title
_LOOM_TITLE = _JOB_TITLE + ", " + Loom.name


def _jobs(session: Session, words: list[str]) -> Group:
    match = _all_words(
        words, Project.number, Project.title, Project.equipment, Project.notes, Customer.name
    )
    query = (
        select(_JOB_TITLE, Customer.name, Project.id)
        .join(Customer)
        .where(match)
        .order_by(Project.id.desc())
    )
    return _group(session, "Jobs", query, ("title", "detail", "project_id"))


def _customers(session: Session, words: list[str]) -> Group:
    match = _all_words(words, Customer.name, Customer.contact, Customer.address, Customer.notes)
    query = (
        select(Customer.name, Customer.contact, Customer.id).where(match).order_by(Customer.name)
    )
    return _group(session, "Customers", query, ("title", "detail", "customer_id"))


def _units(session: Session, words: list[str]) -> Group:
    query = (
        select(Unit.serial, _LOOM_TITLE, Project.id, Loom.id, Unit.id)
        .join(Loom, Loom.id == Unit.loom_id)
        .join(Project, Project.id == Loom.project_id)
        .where(_all_words(words, Unit.serial))
        .order_by(Unit.id.desc())
    )
    found = _group(session, "Units", query, ("title", "detail", "project_id", "loom_id", "unit_id"))
    numbers = session.execute(
        select(Unit.id, Revision.number)
        .join(Revision, Revision.id == Unit.revision_id)
        .where(Unit.id.in_([hit.unit_id for hit in found.hits]))
    )
    built_to = {unit_id: letter(number) for unit_id, number in numbers}
    hits = (
        replace(hit, detail=f"{hit.detail}, revision {built_to[hit.unit_id]}")
        for hit in found.hits
        if hit.unit_id is not None
    )
    return replace(found, hits=tuple(hits))


def _crimp_set_ups(session: Session, words: list[str]) -> Group:
    """By tool, die or lot: the units that were crimped with it, however the set-up began."""
    match = _all_words(
        words, CrimpSetup.tool, CrimpSetup.die, CrimpSetup.wire_lot, CrimpSetup.terminal_lot
    )
    rows = session.execute(
        select(CrimpSetup.id, CrimpSetup.loom_id, _LOOM_TITLE, Project.id)
        .join(Loom, Loom.id == CrimpSetup.loom_id)
        .join(Project, Project.id == Loom.project_id)
        .where(match)
        .order_by(CrimpSetup.loom_id.desc(), CrimpSetup.id.desc())
        .limit(MOST_SET_UPS + 1)
    ).all()
    looms: dict[tuple[int, str, int], list[int]] = {}
    for setup_id, loom_id, title, project_id in rows[:MOST_SET_UPS]:
        looms.setdefault((loom_id, title, project_id), []).append(setup_id)
    hits = tuple(
        Hit(serial, f"{used}, {title}", project_id, loom_id, unit_id)
        for (loom_id, title, project_id), setup_ids in looms.items()
        for unit_id, serial, used in crimp_standing.units_of(session, loom_id, setup_ids)
    )
    return Group("Crimp set-ups", hits, "crimp-setups", len(rows) > MOST_SET_UPS)


def _received(session: Session, words: list[str]) -> Group:
    match = _all_words(
        words, ReceivedPart.what, ReceivedPart.from_whom, ReceivedPart.condition, ReceivedPart.code
    )
    query = (
        select(ReceivedPart.what, _JOB_TITLE, Project.id)
        .join(Project, Project.id == ReceivedPart.project_id)
        .where(match)
        .order_by(ReceivedPart.id.desc())
    )
    return _group(session, "Customers' parts", query, ("title", "detail", "project_id"))


def _journal(session: Session, words: list[str], which: ColumnElement[bool] | None = None) -> Group:
    query = (
        select(JournalEntry.sentence, _JOB_TITLE, Project.id)
        .join(Project, Project.id == JournalEntry.project_id)
        .where(_all_words(words, JournalEntry.sentence), true() if which is None else which)
        .order_by(JournalEntry.id.desc())
    )
    return _group(session, "Journals", query, ("title", "detail", "project_id"))


def _journal_without_quotes(session: Session, words: list[str]) -> Group:
    return _journal(session, words, journal.without_quotes())


def _parts(session: Session, words: list[str]) -> Group:
    query = (
        select(Part.name, Part.kind, Part.uid)
        .where(_all_words(words, Part.name, Part.uid))
        .order_by(Part.kind, Part.name)
    )
    return _group(session, "Stores", query, ("title", "detail", "part_uid"))


# --- in the latest revision of each design ----------------------------------------------------


def _latest_revisions() -> Select[int]:
    newest = (
        select(Revision.loom_id, func.max(Revision.number).label("number"))
        .group_by(Revision.loom_id)
        .subquery()
    )
    return select(Revision.id).join(
        newest,
        and_(newest.c.loom_id == Revision.loom_id, newest.c.number == Revision.number),
    )


def _in_designs(model: Any, title: Any, match: ColumnElement[bool]) -> Select[*tuple[Any, ...]]:
    return (
        select(title, _LOOM_TITLE, Project.id, Loom.id)
        .select_from(model)
        .join(Revision, Revision.id == model.revision_id)
        .join(Loom, Loom.id == Revision.loom_id)
        .join(Project, Project.id == Loom.project_id)
        .where(Revision.id.in_(_latest_revisions()), match)
        .order_by(Project.id.desc(), Loom.id, model.position)
    )


_LOOM_FIELDS = ("title", "detail", "project_id", "loom_id")


def _wires(session: Session, words: list[str]) -> Group:
    """By number, with words of the job before it ("launch 12"), or by a note."""
    title = "Wire " + cast(Link.number, Text)
    match = _all_words(words, Link.note)
    number = WIRE_NUMBER.fullmatch(words[-1])
    if number:
        of_job = [word for word in words[:-1] if word.lower() != "wire"]
        this_number = and_(
            Link.number == int(number.group(1)),
            _all_words(of_job, Project.number, Project.title, Project.equipment, Loom.name),
        )
        match = or_(match, this_number)
    return _group(session, "Wires", _in_designs(Link, title, match), _LOOM_FIELDS, "wires")


def _needs_and_places(session: Session, words: list[str]) -> Group:
    needs = _in_designs(Need, Need.name, _all_words(words, Need.name, Need.note))
    found = _group(session, "Needs and places", needs, _LOOM_FIELDS, "needs")
    places = _in_designs(Place, Place.name, _all_words(words, Place.name, Place.note))
    more = _group(session, "", places, _LOOM_FIELDS)
    hits = (found.hits + more.hits)[:MOST_OF_A_KIND]
    cut = found.more or more.more or len(found.hits + more.hits) > MOST_OF_A_KIND
    return Group(found.title, hits, found.page, cut)


def _fittings(session: Session, words: list[str]) -> Group:
    query = _in_designs(Fitting, Fitting.name, _all_words(words, Fitting.name, Fitting.note))
    return _group(session, "Fittings", query, _LOOM_FIELDS, "fittings")


def _circuits(session: Session, words: list[str]) -> Group:
    query = _in_designs(Circuit, Circuit.name, _all_words(words, Circuit.name))
    return _group(session, "Circuits", query, _LOOM_FIELDS, "circuits")


_PART_COLUMNS = (
    Fitting.part_uid,
    Link.cable_part_uid,
    WireEnd.terminal_part_uid,
    WireEnd.shrink_part_uid,
    Bridge.fuse_part_uid,
    Run.covering_part_uid,
)


def _looms_with_part(session: Session, words: list[str]) -> Group:
    uses = union(
        *(
            select(column.class_.revision_id.label("revision_id"), column.label("part_uid")).where(
                column.is_not(None)
            )
            for column in _PART_COLUMNS
        )
    ).subquery()
    query = (
        select(Part.name, _LOOM_TITLE, Project.id, Loom.id)
        .select_from(uses)
        .join(Part, Part.uid == uses.c.part_uid)
        .join(Revision, Revision.id == uses.c.revision_id)
        .join(Loom, Loom.id == Revision.loom_id)
        .join(Project, Project.id == Loom.project_id)
        .where(Revision.id.in_(_latest_revisions()), _all_words(words, Part.name, Part.uid))
        .order_by(Project.id.desc(), Loom.id, Part.name)
    )
    return _group(session, "Parts in looms", query, _LOOM_FIELDS, "parts")
