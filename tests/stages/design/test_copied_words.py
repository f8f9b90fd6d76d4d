"""What is typed fast while an old loom is copied, as it is understood."""

from dataclasses import replace

import pytest

from tests.stages.design.editing.test_plug_cases import fork
from webapp.stages.design.copied_words import read_colours, read_end
from webapp.stages.design.rows import Design, Fitting, Way


# Letters of BS AU 7 and IEC 60757 by tests/published/test_colour_tables.py.
@pytest.mark.parametrize(
    ("code", "text", "main", "tracer"),
    [
        ("bs-au-7", "NR", "brown", "red"),
        ("bs-au-7", "n/r", "brown", "red"),
        ("bs-au-7", "LG", "light green", ""),
        ("bs-au-7", "GLG", "green", "light green"),
        ("bs-au-7", "LGR", "light green", "red"),
        ("bs-au-7", "light green red", "light green", "red"),
        ("bs-au-7", "brown with a red tracer", "brown", "red"),
        ("bs-au-7", "Brown, Red", "brown", "red"),
        ("bs-au-7", "B", "black", ""),
        ("bs-au-7", "", "", ""),
        ("iec-60757", "BN/RD", "brown", "red"),
        ("iec-60757", "bnrd", "brown", "red"),
        ("small-craft", "light blue", "light blue", ""),
    ],
)
def test_colours_by_letters_and_names(code: str, text: str, main: str, tracer: str) -> None:
    assert read_colours(code, text) == (main, tracer, "")


@pytest.mark.parametrize(
    ("text", "main", "tracer"),
    [
        ("maroon", "maroon", ""),
        ("salmon/blue", "salmon", "blue"),
        ("NX", "NX", ""),
        ("tan/maroon", "tan", "maroon"),
        ("Z", "Z", ""),
    ],
)
def test_colours_outside_the_code_are_taken_as_they_are(text: str, main: str, tracer: str) -> None:
    *pair, said = read_colours("bs-au-7", text)
    assert pair == [main, tracer]
    assert "outside this job's colour code" in said


@pytest.mark.parametrize(
    ("code", "text", "main", "tracer", "title"),
    [
        ("small-craft", "NR", "brown", "red", "BS AU 7"),
        ("bs-au-7", "BN/RD", "brown", "red", "ABYC"),
        ("bs-au-7", "turquoise", "turquoise", "", "IEC 60757"),
    ],
)
def test_letters_of_another_code_are_read_by_it_and_that_is_said(
    code: str, text: str, main: str, tracer: str, title: str
) -> None:
    *pair, said = read_colours(code, text)
    assert pair == [main, tracer]
    assert title in said


def known() -> Design:
    design = fork({})
    names = ("Fuse board", "Fuse board 1", "Horn push", "Helm plug 1, socket half", "Lamp")
    fittings = {
        name: Fitting(uid=name, place_uid="box", name=name, kind="fitting") for name in names
    }
    fittings["Lamp"] = replace(fittings["Lamp"], part_uid="load-lamp")
    ways = {
        f"{name} {label}": Way(uid=f"{name} {label}", fitting_uid=name, label=label, contact="x")
        for name, label in (
            ("Fuse board", "2"),
            ("Fuse board 1", "3"),
            ("Horn push", "out"),
            ("Helm plug 1, socket half", "1"),
            ("Lamp", "+"),
        )
    }
    return replace(design, fitting=design.fitting | fittings, way=design.way | ways)


@pytest.mark.parametrize(
    ("text", "fitting", "way"),
    [
        ("headlamp switch 3", "headlamp switch", "3"),
        ("  relay   87a ", "relay", "87a"),
        ("dynamo D", "dynamo", "D"),
        ("battery +", "battery", "+"),
        ("coil B+", "coil", "B+"),
        ("tail lamp LH", "tail lamp LH", ""),
        ("earth", "earth", ""),
        ("3", "3", ""),
        ("switch, feed", "switch", "feed"),
        ("fuse board 2", "Fuse board", "2"),
        ("fuse board 1 3", "Fuse board 1", "3"),
        ("FUSE BOARD 7", "Fuse board", "7"),
        ("Fuse board 1", "Fuse board", "1"),
        ("horn push out", "Horn push", "out"),
        ("horn push", "Horn push", ""),
        ("Helm plug 1, socket half 1", "Helm plug 1, socket half", "1"),
        ("Helm plug 1, socket half · 1", "Helm plug 1, socket half", "1"),
        ("lamp 2", "lamp", "2"),
        ("lamp holder 2", "lamp holder", "2"),
        ("", "", ""),
    ],
)
def test_ends_are_a_fitting_and_its_way(text: str, fitting: str, way: str) -> None:
    assert read_end(known(), text) == (fitting, way)
