"""Names of twins: the other side, or the next number."""

import pytest

from webapp.stages.design.twin_names import like_it, twin_name


@pytest.mark.parametrize(
    ("name", "other"),
    [
        ("Left side lamp", "Right side lamp"),
        ("Horn, RIGHT", "Horn, LEFT"),
        ("Port navigation lamp", "Starboard navigation lamp"),
        ("Nearside flasher", "Offside flasher"),
        ("Fog lamp LH", "Fog lamp RH"),
        ("left of the left door", "right of the right door"),
    ],
)
def test_sides_are_exchanged_as_they_are_written(name: str, other: str) -> None:
    assert twin_name(name) == other
    assert twin_name(other) == name


@pytest.mark.parametrize("name", ["Cabin lamp", "Portable lamp", "Leftover", "Report lamp"])
def test_a_name_without_a_side_has_no_twin(name: str) -> None:
    assert twin_name(name) is None


def test_what_is_taken_gets_the_next_number() -> None:
    assert like_it("Cabin lamp", {"cabin lamp"}) == "Cabin lamp 2"
    assert like_it("Lamp 1", {"lamp 1", "lamp 2"}) == "Lamp 3"
    assert like_it("Left lamp", {"left lamp"}) == "Right lamp"
    assert like_it("Left lamp", {"left lamp", "right lamp"}) == "Left lamp 2"
