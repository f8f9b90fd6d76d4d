"""The price of the launch, its terms and further lines."""

from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy.orm import Session

from tests.stages.launch import Launch
from tests.stages.priced import priced_launch
from webapp.costing.price import Extra
from webapp.records.catalogue import Part
from webapp.records.workshop import OperationTime, Rates
from webapp.stages import pricing, received
from webapp.stages.clock import today
from webapp.stages.design import revisions, rows
from webapp.stages.refusals import ChangedMeanwhile, NotThere, Refused


@pytest.fixture
def launch(session: Session) -> Launch:
    return priced_launch(session)


def typed_now(session: Session, launch: Launch) -> dict[str, Any]:
    design = rows.load(session, launch.revision_id)
    return pricing.values(session, launch.loom_id, design, launch.revision_id)


def edit(session: Session, launch: Launch, **new: Any) -> None:
    now = typed_now(session, launch)
    pricing.edit(session, launch.loom_id, now, now | new)


def test_materials_by_hand(session: Session, launch: Launch) -> None:
    price = pricing.read(session, launch.loom_id).price
    assert price is not None
    lines = {line.material.what: line.cost.minor for line in price.materials}
    # 2.9 m at 60.00 a hundred and 8 %: 1.8792; two rings at 20.00 a hundred and 8 %: 0.432.
    assert lines["Boat cable 2.5, BN/RD"] == 188
    assert lines["Ring M8"] == 43
    # No scrap on a whole plug; 8 % on the splice: 0.378.
    assert (lines["Plug 3-way, launch"], lines["Splice, launch"]) == (510, 38)
    assert price.material.minor == sum(lines.values())


def test_labour_uses_the_workshops_times(session: Session, launch: Launch) -> None:
    before = pricing.read(session, launch.loom_id).price
    assert before is not None
    # 13 crimps of 30 s at 42.00 an hour are 4.55; of 60 s 9.10.
    session.get_one(OperationTime, "crimp").seconds = 60
    after = pricing.read(session, launch.loom_id).price
    assert after is not None
    assert after.labour.minor - before.labour.minor == 910 - 455


def test_terms_of_the_quote_outrank_the_rates(session: Session, launch: Launch) -> None:
    edit(session, launch, margin_percent=0.0, discount_percent=12.5, vat_percent=0.0)
    priced = pricing.read(session, launch.loom_id)
    assert priced.terms.margin_percent == 0
    assert priced.terms.discount_percent == Decimal("12.5")
    assert priced.terms.deposit_percent == 30
    assert priced.price is not None
    assert priced.price.unit.margin.minor == 0
    assert priced.price.pay.vat.minor == 0
    edit(session, launch, margin_percent=None)
    assert pricing.read(session, launch.loom_id).terms.margin_percent == 20


def test_a_rate_that_is_no_binary_fraction_stays_exact(session: Session, launch: Launch) -> None:
    session.get_one(Rates, 1).vat_percent = 17.1
    assert pricing.read(session, launch.loom_id).terms.vat_percent == Decimal("17.1")


def test_texts_are_read_off_the_design(session: Session, launch: Launch) -> None:
    received.add(
        session, launch.project_id, what="Sounder", quantity=2, from_whom="", condition="",
        received_on=today(), person_id=launch.person_id,
    )  # fmt: skip
    texts = pricing.read(session, launch.loom_id).terms.texts
    day = f"{today().day} {today():%B %Y}"
    assert texts.rests_on == f"needs list of {day}, 12 V insulated return, design revision A"
    supplied = texts.customer_supplies.splitlines()
    assert supplied == [
        "Battery",
        "Bilge pump",
        "Bow lamp",
        "Radio",
        f"2 × Sounder (came in {day})",
    ]
    assert texts.not_included


def test_a_text_that_is_typed_stays_and_emptied_follows_again(
    session: Session, launch: Launch
) -> None:
    suggested = typed_now(session, launch)["rests_on"]
    edit(session, launch, rests_on="your letter of 3 May")
    assert pricing.read(session, launch.loom_id).terms.texts.rests_on == "your letter of 3 May"
    edit(session, launch, rests_on="")
    assert pricing.read(session, launch.loom_id).terms.texts.rests_on == suggested


def test_a_text_that_nobody_changed_follows_the_next_revision(
    session: Session, launch: Launch
) -> None:
    edit(session, launch, margin_percent=25.0)
    revisions.freeze(session, launch.revision_id, launch.person_id, None)
    revisions.open_for_edit(session, launch.loom_id)
    assert "design revision B" in pricing.read(session, launch.loom_id).terms.texts.rests_on


def test_further_lines_are_sold_as_typed(session: Session, launch: Launch) -> None:
    before = pricing.read(session, launch.loom_id).price
    edit(session, launch, extras=(Extra("Roof plug set", 6, 2350), Extra("Spares", 1, 500)))
    after = pricing.read(session, launch.loom_id).price
    assert before is not None
    assert after is not None
    assert after.pay.gross.minor - before.pay.gross.minor == 6 * 2350 + 500
    edit(session, launch, extras=(Extra("Spares", 1, 500),))
    assert typed_now(session, launch)["extras"] == (Extra("Spares", 1, 500),)


def test_two_people_at_the_terms(session: Session, launch: Launch) -> None:
    opened = typed_now(session, launch)
    pricing.edit(session, launch.loom_id, opened, opened | {"discount_percent": 5.0})
    # Another value merges; the same one does not.
    pricing.edit(session, launch.loom_id, opened, opened | {"deposit_percent": 50.0})
    now = typed_now(session, launch)
    assert (now["discount_percent"], now["deposit_percent"]) == (5.0, 50.0)
    with pytest.raises(ChangedMeanwhile) as clash:
        pricing.edit(session, launch.loom_id, opened, opened | {"discount_percent": 10.0})
    (both,) = clash.value.both
    assert (both.field, both.theirs, both.yours) == ("discount_percent", 5.0, 10.0)


def test_two_people_at_the_further_lines(session: Session, launch: Launch) -> None:
    opened = typed_now(session, launch)
    pricing.edit(session, launch.loom_id, opened, opened | {"extras": (Extra("A", 1, 1),)})
    with pytest.raises(ChangedMeanwhile):
        pricing.edit(session, launch.loom_id, opened, opened | {"extras": (Extra("B", 1, 1),)})
    assert typed_now(session, launch)["extras"] == (Extra("A", 1, 1),)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("discount_percent", 100.5),
        ("deposit_percent", -1.0),
        ("margin_percent", 1001.0),
        ("vat_percent", float("nan")),
        ("validity_days", 0),
        ("validity_days", 731),
        ("extras", (Extra("", 1, 1),)),
        ("extras", (Extra("A", 0, 1),)),
        ("extras", (Extra("A", 1, -1),)),
    ],
)
def test_terms_that_cannot_be_are_refused(
    session: Session, launch: Launch, field: str, value: Any
) -> None:
    with pytest.raises(Refused) as refused:
        edit(session, launch, **{field: value})
    assert refused.value.field == field
    assert typed_now(session, launch)[field] in (None, ())


def test_more_money_than_there_is_gives_a_sentence(session: Session, launch: Launch) -> None:
    session.get_one(Part, "t-ring").price_minor = 10**12
    priced = pricing.read(session, launch.loom_id)
    assert priced.price is None
    assert priced.problem.startswith("No price can be made")


def test_no_such_loom(session: Session, launch: Launch) -> None:
    with pytest.raises(NotThere):
        pricing.read(session, 999)
    with pytest.raises(NotThere):
        pricing.edit(session, 999, {}, {})
