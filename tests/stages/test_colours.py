"""The workshop's own colour code and the wire that it has in stock."""

from typing import Any

import pytest
from sqlalchemy.orm import Session

from webapp.sizing.colours import FUNCTIONS, Palette, colour_for
from webapp.stages import colours, workshop
from webapp.stages.refusals import ChangedMeanwhile, Refused
from webapp.stages.workshop import WorkshopValues


@pytest.fixture
def office(session: Session) -> Session:
    values = WorkshopValues("Tern Lane Looms")
    workshop.set_up(session, values, person_name="Ada Quill", initials="AQ", demo=False)
    return session


def test_at_first_nothing_is_set_and_proposals_are_free(office: Session) -> None:
    assert colours.palette(office) == Palette()
    assert {value for name, value in colours.values(office).items()} == {"", False, ()}


def test_code_and_stock_are_kept_and_taken_up_by_the_palette(office: Session) -> None:
    first = {"main-horn": "orange", "tracer-horn": "black", "plain-black": True}
    colours.edit(office, colours.values(office), first)
    colours.edit(
        office,
        colours.values(office),
        {"tracers-orange": ("black", "white"), "main-head-lamp-dip": "pink"},
    )
    values = colours.values(office)
    assert values["tracers-orange"] == ("black", "white")
    palette = colours.palette(office)
    assert colour_for(palette.workshop, "horn").pair == ("orange", "black")
    assert colour_for(palette.workshop, "head lamp dip").pair == ("pink", None)
    assert palette.stocked is None
    colours.edit(office, values, {"only_stocked_colours": True})
    assert colours.palette(office).stocked == {
        ("black", None), ("orange", "black"), ("orange", "white"),
    }  # fmt: skip
    colours.edit(office, colours.values(office), {"main-horn": "", "tracer-horn": ""})
    assert colours.palette(office).workshop.functions["horn"].source.text == "common practice"


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"tracer-horn": "black"}, "main-horn"),
        ({"main-horn": "red", "tracer-horn": "red"}, "main-horn"),
        ({"main-horn": "black"}, "main-horn"),
        ({"main-side-lamp": "green", "tracer-side-lamp": "yellow"}, "main-side-lamp"),
        ({"tracers-red": ("red",)}, "tracers-red"),
        ({"only_stocked_colours": True}, "only_stocked_colours"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(
    office: Session, typed: dict[str, Any], field: str
) -> None:
    before = colours.values(office)
    with pytest.raises(Refused) as refused:
        colours.edit(office, before, typed)
    assert refused.value.field == field
    assert field in before
    assert colours.values(office) == before


def test_edits_of_two_people_merge_or_clash(office: Session) -> None:
    opened = colours.values(office)
    colours.edit(office, opened, opened | {"main-horn": "orange"})
    colours.edit(office, opened, opened | {"plain-red": True})
    assert (colours.values(office)["main-horn"], colours.values(office)["plain-red"]) == (
        "orange",
        True,
    )
    with pytest.raises(ChangedMeanwhile) as clash:
        colours.edit(office, opened, opened | {"main-horn": "pink"})
    assert [both.field for both in clash.value.both] == ["main-horn"]


def test_every_function_has_its_fields(office: Session) -> None:
    values = colours.values(office)
    for function in FUNCTIONS:
        assert values[colours.field("main", function)] == ""
        assert values[colours.field("tracer", function)] == ""
