"""A change asked for while the loom is built: priced, accepted or given away, then signed off."""

import secrets
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy.orm import Session

from tests.costing.evaluation import evaluate
from tests.stages.launch import Launch, sign_off
from tests.stages.priced import priced_launch
from webapp.records.catalogue import Part
from webapp.records.design import Revision
from webapp.records.workshop import Rates
from webapp.stages import change_quotes, clock, jobs, journal, pricing, quotes, stage_line
from webapp.stages.building import taking, units
from webapp.stages.building.bench import Entry
from webapp.stages.design import change_gate, commands, revisions, rows
from webapp.stages.design.commands import Change, added, changed, removed, write
from webapp.stages.design.rows import Cable
from webapp.stages.refusals import Refused


@pytest.fixture
def launch(session: Session) -> Launch:
    """Quoted and accepted, signed off, all four units at build."""
    launch = priced_launch(session, quantity=4)
    price = pricing.read(session, launch.loom_id).price
    assert price is not None
    main = quotes.issue(
        session, launch.loom_id, key="m" * 32, seen_minor=price.pay.total.minor,
        person_id=launch.person_id,
    )  # fmt: skip
    accept(session, launch, main)
    sign_off(session, launch)
    units.start(session, launch.loom_id, launch.person_id, "full")
    return launch


def accept(session: Session, launch: Launch, quote_id: int) -> None:
    quotes.accept(
        session, quote_id, by_whom="R. Dunlin", accepted_on=clock.today(), note="",
        person_id=launch.person_id,
    )  # fmt: skip


def edit(session: Session, launch: Launch, *changes: Change) -> int:
    revision_id = revisions.open_for_edit(session, launch.loom_id)
    write(session, revision_id, "Change", changes, launch.person_id)
    return revision_id


def row(session: Session, launch: Launch, table: str, uid: str) -> Any:
    revision_id = revisions.latest(session, launch.loom_id).id
    return rows.load(session, revision_id).table(table)[uid]


def thicker(session: Session, launch: Launch) -> int:
    link = row(session, launch, "link", "l4")
    return edit(session, launch, changed(link, csa_mm2=2.5, cable_part_uid="t-2.5"))


def tick(session: Session, launch: Launch, unit_id: int, *steps: str) -> None:
    entries = [Entry(secrets.token_hex(16), step, "done", launch.person_id) for step in steps]
    assert all(answer.saved for answer in taking.append(session, unit_id, entries))


def issue(session: Session, launch: Launch, *chosen: int, key: str = "c" * 32) -> int:
    change = change_quotes.read(session, launch.loom_id, chosen)
    assert change.price is not None, change.problem
    return change_quotes.issue(
        session, launch.loom_id, chosen=chosen, key=key,
        seen_minor=change.price.pay.total.minor, seen_design=change.design,
        person_id=launch.person_id,
    )  # fmt: skip


def unit_price(session: Session, launch: Launch, letter: str) -> int:
    revision = revisions.get(session, launch.loom_id, letter)
    price = pricing.read(session, launch.loom_id, revision).price
    assert price is not None
    return price.unit.price.minor


def lacks(session: Session, launch: Launch) -> list[str]:
    latest = revisions.latest(session, launch.loom_id)
    design = rows.load(session, latest.id)
    return [words for words, _ in change_gate.lacking(session, launch.loom_id, latest, design)]


def test_the_price_is_the_difference_for_the_units_and_what_is_done_again(
    session: Session, launch: Launch
) -> None:
    tick(session, launch, 1, "l4.0:cut", "l4:from:thread", "l4:from:strip", "l1.0:cut")
    thicker(session, launch)
    change = change_quotes.read(session, launch.loom_id)
    assert [one.chosen for one in change.units] == [True] * 4
    assert [len(one.undone.ticks) for one in change.units] == [3, 0, 0, 0]
    assert change.price is not None
    (line,) = change.price.lines
    each = unit_price(session, launch, "B") - unit_price(session, launch, "A")
    assert (line.differing.units, line.each_minor, line.amount.minor) == (4, each, 4 * each)
    assert each > 0
    assert {work.work.code: work.work.count for work in change.price.works} == {
        "cut": 1, "thread_on": 1, "strip": 1,
    }  # fmt: skip
    (cable,) = change.price.materials
    assert cable.material.what.startswith("Boat cable 1.5")
    old = row(session, launch, "run", "r3")
    assert float(cable.material.quantity) >= old.length_mm / 1000


def test_only_the_chosen_units_are_charged(session: Session, launch: Launch) -> None:
    tick(session, launch, 1, "l4.0:cut")
    thicker(session, launch)
    change = change_quotes.read(session, launch.loom_id, {2, 3})
    assert change.quantity == 2
    assert change.price is not None
    assert change.price.lines[0].differing.units == 2
    assert not change.price.works
    none = change_quotes.read(session, launch.loom_id, set())
    assert (none.price, none.problem) == (None, "Choose at least one unit that the change is for.")


def test_what_was_done_is_not_given_back(session: Session, launch: Launch) -> None:
    """A wire taken out is a credit, but for the units where it was cut already."""
    steps = ("l4.0:cut", "l4:from:thread", "l4:from:strip")
    tick(session, launch, 1, *steps)
    ends = [row(session, launch, "wire_end", f"l4:{side}") for side in ("from", "to")]
    edit(session, launch, *map(removed, ends), removed(row(session, launch, "link", "l4")))
    untouched = change_quotes.read(session, launch.loom_id, {2}).price
    begun = change_quotes.read(session, launch.loom_id, {1}).price
    assert untouched is not None
    assert begun is not None
    assert untouched.credit
    assert untouched.pay.total.minor < begun.pay.total.minor
    assert {work.work.code for work in begun.works} >= {"cut", "thread_on", "strip"}
    kept = quotes.as_issued(session, issue(session, launch, 2))
    assert kept["pay"]["total_minor"] == untouched.pay.total.minor < 0
    assert sum(line["amount_minor"] for line in kept["lines"]) == kept["pay"]["gross_minor"]
    assert any("Wire 4 is taken out" in sentence for sentence in kept["change"]["sentences"])


def test_a_change_quote_is_frozen_numbered_and_moves_nothing(
    session: Session, launch: Launch
) -> None:
    (main,) = quotes.of_loom(session, launch.loom_id)
    draft_id = thicker(session, launch)
    before = stage_line.of_loom(session, launch.loom_id)
    quote_id = issue(session, launch, 1, 2)
    quote = quotes.get(session, quote_id)
    assert quote.number == f"{main.number[:-1]}B"
    assert (quote.change_from_id, quote.design_revision_id) == (launch.revision_id, draft_id)
    assert quotes.get(session, main.id).state == "accepted"
    kept = quotes.as_issued(session, quote_id)
    assert kept["change"]["unit_ids"] == [1, 2]
    for figure in _figures(kept["build_up"]):
        reason = figure["reason"]
        assert evaluate(reason["formula"], reason["inputs"]) == figure["minor"] == reason["value"]
    session.get_one(Rates, 1).labour_minor_per_hour = 9900
    assert quotes.as_issued(session, quote_id) == kept
    # The same form again is the same quote, whatever has moved since.
    again = change_quotes.issue(
        session, launch.loom_id, chosen=(), key="c" * 32, seen_minor=0, seen_design="",
        person_id=launch.person_id,
    )  # fmt: skip
    assert again == quote_id
    accept(session, launch, quote_id)
    assert stage_line.of_loom(session, launch.loom_id) == before
    assert quotes.get(session, main.id).state == "accepted"
    quotes.reopen(session, quote_id, reason="by mistake", person_id=launch.person_id)
    assert stage_line.of_loom(session, launch.loom_id) == before
    quotes.decline(session, quote_id, reason="too dear", person_id=launch.person_id)
    assert stage_line.of_loom(session, launch.loom_id) == before
    assert jobs._declined_looms(session, (launch.project_id,)) == set()


def _figures(value: Any) -> Any:
    if isinstance(value, dict):
        if "reason" in value:
            yield value
        value = list(value.values())
    if isinstance(value, list):
        for item in value:
            yield from _figures(item)


def test_a_later_change_quote_takes_the_place_of_the_earlier(
    session: Session, launch: Launch
) -> None:
    thicker(session, launch)
    first = issue(session, launch, 1)
    second = issue(session, launch, 1, 2, key="d" * 32)
    assert quotes.get(session, first).state == "superseded"
    accept(session, launch, second)
    third = issue(session, launch, 1, 2, 3, key="e" * 32)
    assert quotes.get(session, second).state == "accepted"
    accept(session, launch, third)
    assert quotes.get(session, second).state == "superseded"


def test_the_gate_opens_for_exactly_the_design_that_was_accepted(
    session: Session, launch: Launch
) -> None:
    assert lacks(session, launch) == []
    thicker(session, launch)
    (words,) = lacks(session, launch)
    assert words.startswith("Revision B changes what was signed off as A: price the change")
    quote_id = issue(session, launch, 1, 2, 3, 4)
    assert len(lacks(session, launch)) == 1
    accept(session, launch, quote_id)
    assert lacks(session, launch) == []
    revision_id = edit(session, launch, changed(row(session, launch, "run", "r1"), length_mm=1900))
    (words,) = lacks(session, launch)
    assert "was edited again after it was accepted with quote" in words
    # Taking the edit back leads to the design that was accepted.
    commands.undo(session, revision_id, launch.person_id)
    assert lacks(session, launch) == []
    quotes.reopen(session, quote_id, reason="by mistake", person_id=launch.person_id)
    assert len(lacks(session, launch)) == 1


def test_no_charge_needs_a_reason_and_holds_for_what_was_seen(
    session: Session, launch: Launch
) -> None:
    thicker(session, launch)

    def mark(reason: str, seen: str) -> str:
        return change_gate.mark_no_charge(
            session, launch.loom_id, reason=reason, seen=seen, person_id=launch.person_id
        )

    design = change_quotes.read(session, launch.loom_id).design
    with pytest.raises(Refused) as refused:
        mark("  ", design)
    assert refused.value.field == "reason"
    with pytest.raises(Refused, match="changed since you looked"):
        mark("our mistake", "another")
    sentence = mark("our mistake", design)
    assert lacks(session, launch) == []
    (line, *_) = journal.lines(session, launch.project_id)
    assert (line.sentence, line.who) == (sentence, "Ada Marr")
    with pytest.raises(Refused, match="agreed already"):
        mark("again", design)
    edit(session, launch, changed(row(session, launch, "run", "r1"), length_mm=1900))
    assert len(lacks(session, launch)) == 1


def test_there_is_no_change_before_a_sign_off_or_without_a_draft(
    session: Session, launch: Launch
) -> None:
    with pytest.raises(Refused, match="nothing has been changed since"):
        change_quotes.read(session, launch.loom_id)
    revision_id = thicker(session, launch)
    change = change_quotes.read(session, launch.loom_id)
    assert change.price is not None
    edit(session, launch, changed(row(session, launch, "run", "r1"), length_mm=1900))
    with pytest.raises(Refused, match="price has changed"):
        change_quotes.issue(
            session, launch.loom_id, chosen={1, 2, 3, 4}, key="f" * 32,
            seen_minor=change.price.pay.total.minor, seen_design=change.design,
            person_id=launch.person_id,
        )  # fmt: skip
    for _ in range(2):
        commands.undo(session, revision_id, launch.person_id)
    with pytest.raises(Refused, match="Nothing differs"):
        issue(session, launch, 1)


def test_what_was_agreed_for_a_unit_is_not_charged_twice(session: Session, launch: Launch) -> None:
    """Unit 1 paid for B and is still built to A; unit 2 did not take B."""
    tick(session, launch, 1, "l4.0:cut")
    b_id = thicker(session, launch)
    accept(session, launch, issue(session, launch, 1))
    revisions.freeze(session, b_id, launch.person_id, None)
    edit(session, launch, changed(row(session, launch, "link", "l2"), main="blue"))
    change = change_quotes.read(session, launch.loom_id, {1, 2})
    assert [one.base.letter for one in change.units] == ["B", "A", "A", "A"]
    agreed = [change_quotes.agreed_to(session, units.row(session, n)).letter for n in (1, 2)]
    assert agreed == ["B", "A"]
    assert change.price is not None
    assert [line.differing.what for line in change.price.lines] == [
        "Main loom to revision C instead of A", "Main loom to revision C instead of B",
    ]  # fmt: skip
    # The cut that B undid was paid for with B.
    assert not change.price.works
    both = change_quotes.read(session, launch.loom_id, {1}).price
    assert both is not None
    assert both.lines[0].each_minor == (
        unit_price(session, launch, "C") - unit_price(session, launch, "B")
    )


def test_no_charge_takes_along_who_had_paid_for_the_revision_before(
    session: Session, launch: Launch
) -> None:
    b_id = thicker(session, launch)
    design = change_quotes.read(session, launch.loom_id).design
    change_gate.mark_no_charge(
        session, launch.loom_id, reason="our mistake", seen=design, person_id=launch.person_id
    )
    revisions.freeze(session, b_id, launch.person_id, None)
    edit(session, launch, changed(row(session, launch, "link", "l2"), main="blue"))
    change = change_quotes.read(session, launch.loom_id)
    assert {one.base.letter for one in change.units} == {"B"}


def test_an_acceptance_stands_once_the_change_is_signed_off(
    session: Session, launch: Launch
) -> None:
    b_id = thicker(session, launch)
    quote_id = issue(session, launch, 1)
    accept(session, launch, quote_id)
    revisions.freeze(session, b_id, launch.person_id, None)
    with pytest.raises(Refused, match="the acceptance stands"):
        quotes.reopen(session, quote_id, reason="by mistake", person_id=launch.person_id)
    assert quotes.get(session, quote_id).valid_until >= clock.today() + timedelta(days=1)


def test_the_bench_sees_a_revision_only_when_a_unit_is_moved_to_it(
    session: Session, launch: Launch
) -> None:
    tick(session, launch, 1, "l4.0:cut")
    b_id = thicker(session, launch)
    revisions.freeze(session, b_id, launch.person_id, None)
    unit = units.get(session, 1)
    assert units.row(session, 1).revision == "A"
    assert "1.5 mm²" in units.plan_of(session, unit).by_uid["l4.0:cut"].detail
    units.move_to_revision(session, 1, b_id, "customer wants it", launch.person_id)
    assert "2.5 mm²" in units.plan_of(session, unit).by_uid["l4.0:cut"].detail
    assert {one.revision for one in units.of_loom(session, launch.loom_id)} == {"A", "B"}
    assert session.get_one(Revision, launch.revision_id).signed_off_at is not None


def test_a_cable_of_cores_is_cut_and_paid_for_as_one(session: Session, launch: Launch) -> None:
    """Both returns of revision B lie in one cable, which revision C makes longer."""
    part = Part(
        uid="t-two", kind="cable", name="Two-core 1.5", price_minor=15000, price_per=100,
        price_unit="m", facts={"core_colours": ["red", "black"], "conductor_kind": "iso6722"},
    )  # fmt: skip
    session.add(part)
    session.flush()
    cores = [
        changed(row(session, launch, "link", uid), cable_uid="pair", core=core, route=("r3",))
        for uid, core in (("l4", "red"), ("l5", "black"))
    ]
    pair = added(Cable(uid="pair", name="Lamp cable", kind="cable of cores", part_uid="t-two"))
    b_id = edit(session, launch, pair, *cores)
    revisions.freeze(session, b_id, launch.person_id, None)
    units.move_to_revision(session, 1, b_id, "wanted", launch.person_id)
    plan = units.plan_of(session, units.get(session, 1))
    (cable,) = plan.cables
    cut = next(step.uid for step in cable.steps if step.operation == "cut")
    tick(session, launch, 1, *(step.uid for step in cable.steps))
    edit(session, launch, changed(row(session, launch, "run", "r3"), length_mm=3000))
    change = change_quotes.read(session, launch.loom_id, {1})
    undone = {tick.undone.step.uid for tick in change.units[0].undone.ticks}
    assert undone == {step.uid for step in cable.steps}
    assert cut in undone
    assert change.price is not None
    assert [line.material.what for line in change.price.materials] == ["Two-core 1.5"]
    assert {work.work.code: work.work.count for work in change.price.works} == {
        "cut": 1, "strip": 2,
    }  # fmt: skip
