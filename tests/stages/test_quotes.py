"""Quotes: issued once, never changed, and what becomes of them."""

import json
from datetime import date, timedelta
from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError
from sqlalchemy.orm import Session

from tests.costing.evaluation import evaluate
from tests.stages.launch import Launch
from tests.stages.priced import priced_launch
from webapp.costing.price import Extra
from webapp.records.catalogue import Part
from webapp.records.quotes import Quote
from webapp.records.workshop import Rates
from webapp.stages import clock, journal, looms, pricing, quotes, stage_line, workshop
from webapp.stages.design import revisions, rows
from webapp.stages.design.commands import changed, removed, write
from webapp.stages.quote_gate import checks, stopping
from webapp.stages.refusals import NotThere, Refused


@pytest.fixture
def launch(session: Session) -> Launch:
    return priced_launch(session)


def total(session: Session, launch: Launch) -> int:
    price = pricing.read(session, launch.loom_id).price
    assert price is not None
    return price.pay.total.minor


def issue(session: Session, launch: Launch, key: str = "a" * 32) -> int:
    return quotes.issue(
        session, launch.loom_id, key=key, seen_minor=total(session, launch),
        person_id=launch.person_id,
    )  # fmt: skip


def accept(session: Session, launch: Launch, quote_id: int, **new: Any) -> None:
    given = {"by_whom": "R. Dunlin", "accepted_on": clock.today(), "note": ""} | new
    quotes.accept(session, quote_id, person_id=launch.person_id, **given)


def edit_terms(session: Session, launch: Launch, **new: Any) -> None:
    design = rows.load(session, launch.revision_id)
    now = pricing.values(session, launch.loom_id, design, launch.revision_id)
    pricing.edit(session, launch.loom_id, now, now | new)


def test_a_quote_carries_everything(session: Session, launch: Launch) -> None:
    edit_terms(session, launch, extras=(Extra("Spares", 6, 1400),), discount_percent=5.0)
    quote_id = issue(session, launch)
    quote = quotes.get(session, quote_id)
    number = pricing.read(session, launch.loom_id).job.number
    assert (quote.number, quote.state) == (f"{number}-A", "issued")
    assert quote.code[0] == "Q"
    assert quote.valid_until == clock.today() + timedelta(days=30)
    kept = quotes.as_issued(session, quote_id)
    assert [line["what"] for line in kept["lines"]] == [
        "Survey, design and drawings", "Main loom, built and tested", "Spares",
    ]  # fmt: skip
    pay = kept["pay"]
    assert sum(line["amount_minor"] for line in kept["lines"]) == pay["gross_minor"]
    assert pay["net_minor"] == pay["gross_minor"] - pay["discount_minor"]
    assert quote.total_minor == pay["total_minor"] == pay["net_minor"] + pay["vat_minor"]
    assert kept["design"]["letter"] == "A"
    assert len(kept["design"]["wires"]) == 10
    assert len(kept["design"]["rows"]["link"]) == 8
    assert kept["customer"]["name"] == "Harbour Launch Club"
    (line, *_) = journal.lines(session, launch.project_id)
    assert line.sentence.startswith(f"Quote {quote.number} issued")


def test_the_reasons_are_kept_and_give_the_figures(session: Session, launch: Launch) -> None:
    kept = quotes.as_issued(session, issue(session, launch))
    figures = list(_figures(kept["build_up"]))
    assert len(figures) > 50
    for figure in figures:
        reason = figure["reason"]
        assert evaluate(reason["formula"], reason["inputs"]) == figure["minor"] == reason["value"]


def _figures(value: Any) -> Any:
    if isinstance(value, dict):
        if "reason" in value:
            yield value
        value = list(value.values())
    if isinstance(value, list):
        for item in value:
            yield from _figures(item)


def test_nothing_later_changes_an_issued_quote(session: Session, launch: Launch) -> None:
    quote_id = issue(session, launch)
    before = json.dumps(quotes.as_issued(session, quote_id), sort_keys=True)
    state = quotes.get(session, quote_id)
    session.get_one(Rates, 1).labour_minor_per_hour = 9900
    session.get_one(Part, "t-plug").price_minor = 99_000
    edit_terms(session, launch, margin_percent=80.0, delivery="never")
    design = rows.load(session, launch.revision_id)
    changes = [changed(design.run["r1"], length_mm=9000)]
    write(session, launch.revision_id, "Longer", changes, launch.person_id)
    workshop.edit(session, {"name": "Slack Tide Looms"}, {"name": "Another name"})
    loom = looms.get(session, launch.loom_id)
    looms.edit(
        session, launch.loom_id, {"name": loom.name, "quantity": loom.quantity},
        {"name": "second loom", "quantity": 2}, launch.person_id,
    )  # fmt: skip
    session.flush()
    session.expire_all()
    assert json.dumps(quotes.as_issued(session, quote_id), sort_keys=True) == before
    assert quotes.get(session, quote_id) == state
    assert total(session, launch) != state.total_minor


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE quote SET total_minor = 1",
        "DELETE FROM quote",
        "UPDATE quote_event SET what = 'declined'",
        "DELETE FROM quote_event",
    ],
)
def test_the_database_itself_refuses_changes(
    session: Session, launch: Launch, statement: str
) -> None:
    accept(session, launch, issue(session, launch))
    with pytest.raises(DatabaseError):
        session.execute(text(statement))


def test_a_second_sending_is_the_same_quote(session: Session, launch: Launch) -> None:
    first = issue(session, launch)
    # Even when the price has moved in between.
    session.get_one(Rates, 1).labour_minor_per_hour = 9900
    again = quotes.issue(
        session, launch.loom_id, key="a" * 32, seen_minor=1, person_id=launch.person_id
    )
    assert again == first
    assert len(quotes.of_loom(session, launch.loom_id)) == 1


def test_a_price_that_was_not_seen_is_not_issued(session: Session, launch: Launch) -> None:
    seen = total(session, launch)
    session.get_one(Rates, 1).labour_minor_per_hour = 9900
    with pytest.raises(Refused, match="price has changed"):
        quotes.issue(
            session, launch.loom_id, key="b" * 32, seen_minor=seen, person_id=launch.person_id
        )
    assert not quotes.of_loom(session, launch.loom_id)


def test_a_later_quote_takes_the_place_of_the_open_one(session: Session, launch: Launch) -> None:
    first, second = issue(session, launch), issue(session, launch, "b" * 32)
    latest, older = quotes.of_loom(session, launch.loom_id)
    assert (latest.id, older.id) == (second, first)
    assert (latest.number[-2:], older.number[-2:]) == ("-B", "-A")
    assert (older.state, older.note) == ("superseded", f"by {latest.number}")
    with pytest.raises(Refused, match="superseded"):
        accept(session, launch, first)


def test_two_looms_of_a_job_never_share_a_number(session: Session, launch: Launch) -> None:
    issue(session, launch)
    other_id = _second_loom(session, launch)
    other = Launch(launch.person_id, launch.project_id, other_id, launch.revision_id)
    quote = quotes.get(session, issue(session, other, "b" * 32))
    assert quote.number.endswith("-B")


def _second_loom(session: Session, launch: Launch) -> int:
    loom_id = looms.add(
        session, launch.project_id, name="mast loom", quantity=1, person_id=launch.person_id
    )
    revisions.copy_to(session, launch.revision_id, loom_id)
    return loom_id


# --- what stops a quote ---------------------------------------------------------------------------


def test_the_launch_may_go_out(session: Session, launch: Launch) -> None:
    found = checks(pricing.read(session, launch.loom_id))
    assert [check.sentence for check in found] == [
        "5 parts have an invented price: put the workshop's own into the stores."
    ]


def test_a_wire_without_length_stops_it(session: Session, launch: Launch) -> None:
    design = rows.load(session, launch.revision_id)
    changes = [changed(design.run["r3"], length_mm=None)]
    write(session, launch.revision_id, "Forget a length", changes, launch.person_id)
    stops = stopping(pricing.read(session, launch.loom_id))
    assert [(check.sentence, check.page) for check in stops] == [
        ("Wire 4 has no length.", "wires"),
        ("Wire 5 has no length.", "wires"),
    ]
    with pytest.raises(Refused, match="Wire 4 has no length"):
        issue(session, launch)


def test_without_wires_there_is_nothing_to_quote(session: Session, launch: Launch) -> None:
    design = rows.load(session, launch.revision_id)
    tables = ("wire_end", "crossing", "link")
    changes = [removed(row) for table in tables for row in design.table(table).values()]
    write(session, launch.revision_id, "Take the wires out", changes, launch.person_id)
    (check,) = stopping(pricing.read(session, launch.loom_id))
    assert check.sentence.startswith("There are no wires to price")
    changes = [removed(bridge) for bridge in design.bridge.values()]
    changes += [removed(row) for row in (*design.circuit.values(), *design.need.values())]
    write(session, launch.revision_id, "Take the needs out", changes, launch.person_id)
    (check,) = stopping(pricing.read(session, launch.loom_id))
    assert check.sentence.startswith("There are no needs and no wires")


def test_a_loom_without_needs_may_be_quoted_all_the_same(session: Session, launch: Launch) -> None:
    design = rows.load(session, launch.revision_id)
    changes = [changed(circuit, need_uid=None) for circuit in design.circuit.values()]
    changes += [changed(design.bridge["b-pump"], need_uid=None)]
    changes += [removed(need) for need in design.need.values()]
    write(session, launch.revision_id, "A copied loom", changes, launch.person_id)
    found = checks(pricing.read(session, launch.loom_id))
    assert any(check.sentence.startswith("There is no need list") for check in found)
    assert quotes.get(session, issue(session, launch)).open
    assert "needs list" not in quotes.as_issued(session, 1)["rests_on"]


def test_a_price_of_nothing_stops_it(session: Session, launch: Launch) -> None:
    edit_terms(session, launch, discount_percent=100.0)
    stops = stopping(pricing.read(session, launch.loom_id))
    assert [check.sentence[:20] for check in stops] == ["The total is nothing"]


# --- what becomes of it ---------------------------------------------------------------------------


def test_acceptance_takes_the_loom_to_design(session: Session, launch: Launch) -> None:
    quote_id = issue(session, launch)
    accept(session, launch, quote_id, note="by e-mail")
    quote = quotes.get(session, quote_id)
    assert (quote.state, quote.by_whom) == ("accepted", "R. Dunlin")
    assert quote.note.endswith(": by e-mail")
    assert stage_line.stage_of_loom(session, launch.loom_id) == "design"
    said = [line.sentence for line in journal.lines(session, launch.project_id)]
    assert any(quote.number in words and "accepted by R. Dunlin" in words for words in said)


def test_accepting_twice_is_once(session: Session, launch: Launch) -> None:
    quote_id = issue(session, launch)
    accept(session, launch, quote_id)
    entries = journal.lines(session, launch.project_id)
    accept(session, launch, quote_id)
    assert journal.lines(session, launch.project_id) == entries
    with pytest.raises(Refused, match="accepted already"):
        accept(session, launch, quote_id, by_whom="Somebody else")


@pytest.mark.parametrize(
    ("new", "field"),
    [
        ({"by_whom": " "}, "by_whom"),
        ({"accepted_on": date(2020, 1, 1)}, "accepted_on"),
        ({"accepted_on": date(2190, 1, 1)}, "accepted_on"),
    ],
)
def test_an_acceptance_that_cannot_be(
    session: Session, launch: Launch, new: dict[str, Any], field: str
) -> None:
    quote_id = issue(session, launch)
    with pytest.raises(Refused) as refused:
        accept(session, launch, quote_id, **new)
    assert refused.value.field == field
    assert stage_line.stage_of_loom(session, launch.loom_id) == "quote"


def test_an_expired_quote_needs_a_reason(
    session: Session, launch: Launch, monkeypatch: pytest.MonkeyPatch
) -> None:
    quote_id = issue(session, launch)
    later = clock.today() + timedelta(days=31)
    monkeypatch.setattr(quotes, "today", lambda: later)
    assert quotes.get(session, quote_id).expired(later)
    assert not quotes.get(session, quote_id).expired(later - timedelta(days=1))
    with pytest.raises(Refused) as refused:
        accept(session, launch, quote_id, accepted_on=later)
    assert refused.value.field == "note"
    accept(session, launch, quote_id, accepted_on=later, note="price still holds")
    assert quotes.get(session, quote_id).state == "accepted"


def test_declined_and_accepted_after_all(session: Session, launch: Launch) -> None:
    quote_id = issue(session, launch)
    with pytest.raises(Refused) as refused:
        quotes.decline(session, quote_id, reason=" ", person_id=launch.person_id)
    assert refused.value.field == "reason"
    for _ in range(2):
        quotes.decline(session, quote_id, reason="too dear", person_id=launch.person_id)
    assert quotes.get(session, quote_id).state == "declined"
    said = [line.sentence for line in journal.lines(session, launch.project_id)]
    assert sum("declined" in words for words in said) == 1
    with pytest.raises(Refused, match="say why"):
        accept(session, launch, quote_id)
    accept(session, launch, quote_id, note="thought again")
    assert stage_line.stage_of_loom(session, launch.loom_id) == "design"
    with pytest.raises(Refused, match="accepted already"):
        quotes.decline(session, quote_id, reason="no", person_id=launch.person_id)


def test_an_acceptance_by_mistake_is_taken_back(session: Session, launch: Launch) -> None:
    quote_id = issue(session, launch)
    with pytest.raises(Refused, match="nothing to take back"):
        quotes.reopen(session, quote_id, reason="x", person_id=launch.person_id)
    accept(session, launch, quote_id)
    for _ in range(2):
        quotes.reopen(session, quote_id, reason="wrong job", person_id=launch.person_id)
    assert quotes.get(session, quote_id).open
    assert stage_line.stage_of_loom(session, launch.loom_id) == "quote"
    accept(session, launch, quote_id)
    revisions.freeze(session, launch.revision_id, launch.person_id, None)
    with pytest.raises(Refused, match="signed off"):
        quotes.reopen(session, quote_id, reason="too late", person_id=launch.person_id)
    assert quotes.get(session, quote_id).state == "accepted"


def test_a_variation_accepted_later_replaces_the_first(session: Session, launch: Launch) -> None:
    first = issue(session, launch)
    accept(session, launch, first)
    second = issue(session, launch, "b" * 32)
    assert quotes.get(session, first).state == "accepted"
    accept(session, launch, second)
    assert quotes.get(session, first).state == "superseded"
    assert stage_line.stage_of_loom(session, launch.loom_id) == "design"


def test_design_without_a_quote_needs_a_reason(session: Session, launch: Launch) -> None:
    with pytest.raises(Refused) as refused:
        quotes.without_quote(session, launch.loom_id, reason="", person_id=launch.person_id)
    assert refused.value.field == "reason"
    quotes.without_quote(
        session, launch.loom_id, reason="ordered by telephone", person_id=launch.person_id
    )
    assert stage_line.stage_of_loom(session, launch.loom_id) == "design"
    (line, *_) = journal.lines(session, launch.project_id)
    assert "without a quote: ordered by telephone" in line.sentence


def test_what_is_not_there(session: Session, launch: Launch) -> None:
    with pytest.raises(NotThere):
        quotes.get(session, 999)
    with pytest.raises(NotThere):
        quotes.as_issued(session, 999)
    with pytest.raises(NotThere):
        accept(session, launch, 999)
    with pytest.raises(NotThere):
        quotes.issue(session, 999, key="c" * 32, seen_minor=1, person_id=launch.person_id)
    assert session.get(Quote, 999) is None
