from dataclasses import replace
from datetime import date

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.paper.stock import LabelStock, TapeStock
from webapp.records.catalogue import Part
from webapp.records.workshop import Workshop
from webapp.stages import catalogue, instruments, label_sheets, people, rates, workshop
from webapp.stages.instruments import InstrumentValues
from webapp.stages.label_sheets import SheetValues
from webapp.stages.refusals import ChangedMeanwhile, NotThere, Refused
from webapp.stages.workshop import WorkshopValues


@pytest.fixture
def owner_id(session: Session) -> int:
    return workshop.set_up(
        session,
        WorkshopValues("Tern Lane Looms"),
        person_name="Ada Quill",
        initials="AQ",
        demo=False,
    )


def test_set_up_brings_everything_that_a_first_job_needs(session: Session, owner_id: int) -> None:
    assert workshop.is_set_up(session)
    assert people.get(session, owner_id).role == "owner"
    assert session.scalar(select(func.count()).select_from(Part))
    assert [one.code for one in rates.operations(session)][:3] == ["cut", "thread_on", "strip"]
    assert len(rates.operations(session)) == 15
    assert label_sheets.everything(session)
    assert session.get_one(Workshop, 1).demo is False
    with pytest.raises(Refused):
        workshop.set_up(session, WorkshopValues("Again"), person_name="B", initials="B", demo=False)


def test_the_first_sheets_fit_their_pages(session: Session, owner_id: int) -> None:
    for row in label_sheets.everything(session):
        v = row.values
        if v.kind == "roll":
            TapeStock(width_mm=v.height_mm, label_length_mm=v.width_mm)
        else:
            LabelStock(
                v.width_mm,
                v.height_mm,
                v.columns,
                v.rows,
                v.margin_left_mm,
                v.margin_top_mm,
                v.pitch_x_mm,
                v.pitch_y_mm,
                v.page_width_mm,
                v.page_height_mm,
            )


@pytest.mark.parametrize(
    "address",
    [
        *("", "192.168.1.20", "ftp://x", "http://", "http://h:99999", "http://h/jobs?q=1"),
        # The app answers to this name, and must answer to no others.
        *("http://*", "http://*.test:8000", "http://a*b", "http://a b", "http://me:pw@h"),
    ],
)
def test_the_address_is_checked(session: Session, owner_id: int, address: str) -> None:
    with pytest.raises(Refused) as caught:
        workshop.edit(session, {}, {"address_url": address})
    assert caught.value.field == "address_url"


def test_settings_are_kept_and_clashes_shown(session: Session, owner_id: int) -> None:
    workshop.edit(session, {}, {"address_url": "http://192.168.1.20:8000/", "step_depth": "short"})
    kept = workshop.get(session)
    assert (kept.address_url, kept.step_depth) == ("http://192.168.1.20:8000", "short")
    with pytest.raises(ChangedMeanwhile):
        workshop.edit(session, {"step_depth": "full"}, {"step_depth": "deep"})


@pytest.mark.parametrize(
    ("address", "only"),
    [
        ("http://127.0.0.1:8000", True),
        ("http://localhost", True),
        ("http://[::1]:8000", True),
        ("http://192.168.1.20:8000", False),
        ("http://shop.local", False),
    ],
)
def test_loopback_is_known(address: str, only: bool) -> None:
    assert workshop.only_loopback(address) is only


def test_rates_and_times_are_edited_together(session: Session, owner_id: int) -> None:
    opened = rates.values(session)
    rates.edit(session, opened, opened | {"vat_percent": 19.0, "time_crimp": 45})
    assert rates.values(session) == opened | {"vat_percent": 19.0, "time_crimp": 45}
    rates.edit(session, opened, opened | {"margin_percent": 25.0})
    assert rates.values(session)["vat_percent"] == 19.0
    with pytest.raises(ChangedMeanwhile):
        rates.edit(session, opened, opened | {"time_crimp": 50})
    for field, value in (("deposit_percent", 101.0), ("time_cut", -1), ("scrap_percent", -0.1)):
        with pytest.raises(Refused) as caught:
            rates.edit(session, {}, {field: value})
        assert caught.value.field == field


def test_instruments_and_their_calibration(session: Session, owner_id: int) -> None:
    values = InstrumentValues("bench meter", "17", date(2025, 1, 1), date(2026, 1, 1))
    id_ = instruments.add(session, values)
    row = instruments.get(session, id_)
    assert row.values == values
    assert not row.overdue(date(2026, 1, 1))
    assert row.overdue(date(2026, 1, 2))
    with pytest.raises(Refused) as caught:
        instruments.add(session, replace(values, name="Bench Meter"))
    assert caught.value.field == "name"
    with pytest.raises(Refused) as caught:
        instruments.edit(session, id_, {}, {"calibration_due_on": date(2024, 1, 1)})
    assert caught.value.field == "calibration_due_on"
    instruments.edit(session, id_, {}, {"active": False})
    assert not instruments.get(session, id_).overdue(date(2030, 1, 1))
    with pytest.raises(NotThere):
        instruments.get(session, id_ + 1)


def test_sheets_are_checked_as_they_would_be_kept(session: Session, owner_id: int) -> None:
    seen: list[SheetValues] = []
    sheet = label_sheets.everything(session)[0]
    label_sheets.edit(session, sheet.id, {}, {"offset_x_mm": 1.0}, seen.append)
    assert seen == [replace(sheet.values, offset_x_mm=1.0)]
    assert label_sheets.get(session, sheet.id).values == seen[0]
    with pytest.raises(Refused) as caught:
        label_sheets.add(session, seen[0])
    assert caught.value.field == "name"
    label_sheets.remove(session, sheet.id)
    with pytest.raises(NotThere):
        label_sheets.get(session, sheet.id)


def test_new_seed_parts_come_to_a_catalogue_that_is_there(session: Session) -> None:
    """Parts that the workshop has changed stay as they are."""
    first, changed = catalogue.seed_parts()[:2]
    catalogue.load_seed(session)
    session.delete(session.get_one(Part, first.uid))
    session.get_one(Part, changed.uid).price_minor = 999
    session.flush()
    assert catalogue.load_seed(session) == 1
    assert session.get_one(Part, first.uid).name == first.name
    assert session.get_one(Part, changed.uid).price_minor == 999
    assert catalogue.load_seed(session) == 0


def test_facts_that_were_not_known_of_a_part_come_to_it(session: Session) -> None:
    """A fact that is there, were it emptied by the workshop, stays."""
    catalogue.load_seed(session)
    terminal = session.get_one(Part, "tab-receptacle-6.3-1-2.5")
    kept = {name: value for name, value in terminal.facts.items() if name != "passes_mm"}
    terminal.facts = kept | {"strip_mm": 7.0, "tool": ""}
    session.flush()
    assert catalogue.load_seed(session) == 0
    assert terminal.facts == kept | {"strip_mm": 7.0, "tool": "", "passes_mm": 7.5}
