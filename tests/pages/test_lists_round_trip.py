"""A list that goes out and comes back leaves everything as it was, whatever stands in it."""

import csv
import io
from dataclasses import replace
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.stages.design.need_lists import CATALOGUE, any_list, design, lamp
from webapp.pages import entry_forms
from webapp.pages.forms import tidy
from webapp.pages.import_parts import part_rows
from webapp.pages.import_rows import need_rows, run_rows, weigh
from webapp.pages.import_wires import wire_rows
from webapp.pages.needs import covering_names
from webapp.stages import part_list, stores
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design import entry, needs
from webapp.stages.design.commands import difference
from webapp.stages.design.csv_out import needs_csv, runs_csv
from webapp.stages.design.imports import NEEDS, RUNS, WIRES, ListKind, read_list
from webapp.stages.design.names import key
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Cable, Design, Need, Place, Run
from webapp.stages.design.wire_list.lines import wires_csv
from webapp.stages.design.wires import wires

SLOW = settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
# What spreadsheets, separators and the lists' own signs stumble over.
ODD = st.text("＝＠=+-@'\",;>·|\t µ²Ωéß–—\u00a0aB1.5/", min_size=1, max_size=12)
LINES = st.text("＝＠=+-@'\",;\n >µé\u00a0aB1.5/", max_size=20)
VALUES = st.decimals(min_value="0.01", max_value="9999", places=4).map(float)


def one_line(text: str) -> str:
    return tidy(text.replace("\t", " "))


def odd_names(draw: Any, count: int, most: int = 40) -> list[str]:
    """As many different names as they may be typed."""
    found: dict[str, str] = {}
    while len(found) < count:
        name = " ".join(f"{draw(ODD)}{len(found)}".split())[:most]
        found[key(name)] = tidy(name)
    return list(found.values())


def with_semicolons(text: str, kind: ListKind) -> str:
    """The list as a spreadsheet writes it where a comma is the decimal sign."""
    rows = list(csv.reader(io.StringIO(text, newline="")))
    numbers = [name in kind.numbers for name in rows[0]]
    for row in rows[1:]:
        row[:] = [c.replace(".", ",") if n else c for c, n in zip(row, numbers, strict=True)]
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=";").writerows(rows)
    return "\ufeff" + out.getvalue()


# Needs and runs


@st.composite
def any_design(draw: Any) -> Design:
    names = odd_names(draw, 8)
    places = {f"p{n}": Place(uid=f"p{n}", position=n, name=name) for n, name in enumerate(names)}
    uids = st.sampled_from(list(places))
    maybe = st.none() | uids
    called = odd_names(draw, draw(st.integers(1, 5)))
    found: dict[str, Need] = {}
    for n, name in enumerate(called):
        inrush = draw(st.none() | st.tuples(VALUES, VALUES))
        duty = draw(st.sampled_from([(None, None), (10.0, 60.0), (3.0, 27.0), (600.0, 600.0)]))
        values: dict[str, Any] = {
            "name": name,
            "quantity": draw(st.integers(1, needs.MOST_QUANTITY)),
            "place_uid": draw(uids),
            "kind": draw(st.sampled_from(["lamp", "led", "motor", "resistive", "electronics"])),
            "rating": draw(VALUES),
            "rating_unit": draw(st.sampled_from("AW")),
            "rated_at_v": draw(st.sampled_from([6.0, 12.0, 13.5, 24.0, 48.0])),
            "control": needs.known_control(one_line(draw(ODD))) or "permanent",
            "control_place_uid": draw(uids),
            "second_place_uid": draw(maybe),
            "service": draw(st.sampled_from(needs.SERVICES)),
            "on_s": duty[0],
            "off_s": duty[1],
            "max_drop_percent": draw(st.sampled_from([0.1, 2.5, 3.0, 10.0, 50.0])),
            "inrush_a": inrush[0] if inrush else None,
            "inrush_s": inrush[1] if inrush else None,
            "max_fuse_a": draw(st.none() | VALUES),
            "note": tidy(draw(LINES | st.sampled_from(["its own lead", "only in neutral", "LED"]))),
            **{flag: draw(st.booleans()) for flag in needs.FLAGS},
        } | draw_richer(draw, maybe, list(found))
        if values["control"] == needs.PERMANENT:
            # Only what is fed through diodes is lit by a second need.
            values.pop("also_with_uid", None)
        found[f"n{n}"] = Need(uid=f"n{n}", position=n, **values)
    return replace(
        design([]), place=places, run=draw_runs(draw, list(places)), need=found,
        basis=replace(design([]).basis, supply_place_uid="p0"),
    )  # fmt: skip


def draw_richer(draw: Any, maybe: Any, others: list[str]) -> dict[str, Any]:
    return {
        "relay_place_uid": draw(maybe),
        **draw_relation(draw, others),
        "live_when": draw(st.sampled_from(["always", "accessory", "ignition", "second battery"])),
        "laid_as": draw(
            st.sampled_from(["single wires", "twisted pair", "cable of cores", "screened cable"])
        ),
        "feeds": draw(st.integers(1, 2)),
        "extra_sizes": draw(st.integers(0, 3)),
    }


def draw_relation(draw: Any, others: list[str]) -> dict[str, Any]:
    """To at most one other need: what is switched together also fails together."""
    fields = ("switched_with_uid", "also_with_uid", "apart_from_uid")
    return {draw(st.sampled_from(fields)): draw(st.sampled_from([None, *others]))}


def draw_runs(draw: Any, places: list[str]) -> dict[str, Run]:
    parts = [None, *(part.uid for part in CATALOGUE.kind("covering"))]
    coverings = ["", *sorted({part.text("covering") for part in CATALOGUE.kind("covering")})]
    openings = [None, *(part.uid for part in CATALOGUE.kind("grommet", "gland"))]
    pairs = [(a, b) for n, a in enumerate(places) for b in places[n + 1 :]]
    found = {}
    for n, (a, b) in enumerate(draw(st.lists(st.sampled_from(pairs), unique=True, max_size=6))):
        length_mm = draw(st.none() | st.integers(1000, 1_000_000))
        found[f"r{n}"] = Run(
            uid=f"r{n}",
            position=n,
            from_place_uid=a,
            to_place_uid=b,
            length_mm=length_mm,
            plus_minus_mm=draw(st.integers(0, 900)),
            measured_how=one_line(draw(ODD)),
            measured_by=one_line(draw(ODD)),
            covering=draw(st.sampled_from(coverings)),
            covering_part_uid=draw(st.sampled_from(parts)),
            surround_c=draw(st.sampled_from([-40.0, -2.5, 0.0, 30.0, 77.25, 150.0])),
            through=draw(st.sampled_from(["", "grommet", "gland"])),
            through_part_uid=draw(st.sampled_from(openings)),
            bend_at_mm=draw(st.none() | st.integers(0, 900)),
            bend_radius_mm=draw(st.none() | st.integers(1, 500)),
        )
    return found


def take_needs(before: Design, text: str) -> Design:
    rows = need_rows(before, read_list(NEEDS, text), entry_forms.read_need, {})
    sheet = weigh(before, rows, "need")
    assert [(row.name, row.refused) for row in rows if row.refused] == []
    return entry.plan(before, sheet).after


def take_runs(before: Design, text: str) -> Design:
    coverings = covering_names(CATALOGUE)
    rows = run_rows(
        before,
        read_list(RUNS, text),
        lambda row: entry_forms.read_whole_run(row, coverings, CATALOGUE),
    )
    sheet = weigh(before, rows, "run")
    assert [(row.name, row.refused) for row in rows if row.refused] == []
    return entry.plan(before, sheet).after


@SLOW
@given(any_design())
def test_needs_come_back_as_they_were(before: Design) -> None:
    text = needs_csv(before)
    assert difference(before, take_needs(before, text)) == []
    bare = replace(before, need={})
    for again in (text, with_semicolons(text, NEEDS)):
        taken = list(entry.shown(take_needs(bare, again), "need").values())
        assert taken == list(entry.shown(before, "need").values())


@SLOW
@given(any_design())
def test_runs_come_back_as_they_were(before: Design) -> None:
    if not before.run:
        return
    text = runs_csv(before)
    assert difference(before, take_runs(before, text)) == []
    bare = replace(before, run={})
    for again in (text, with_semicolons(text, RUNS)):
        taken = list(entry.shown(take_runs(bare, again), "run").values())
        assert taken == list(entry.shown(before, "run").values())


# Wires


@st.composite
def any_wired(draw: Any) -> Design:
    """A proposed loom whose names, notes, tags and lengths were set by hand, to anything."""
    found = propose(
        any_list(draw(st.integers(0, 5000)), draw(st.integers(1, 8)), 12, "chassis", "vehicle"),
        CATALOGUE,
    ).design
    new: dict[str, dict[str, Any]] = {}
    for table in ("place", "fitting", "circuit"):
        rows = found.table(table)
        names = odd_names(draw, len(rows))
        new[table] = {
            uid: replace(row, name=name)
            for (uid, row), name in zip(rows.items(), names, strict=True)
        }
    cables = {"c1": Cable(uid="c1", name=odd_names(draw, 1)[0], kind="twisted pair")}
    counts: dict[str, int] = {}
    for wire in wires(found):
        counts[wire.link.uid] = wire.segment + 1
    links = {}
    for uid, link in found.link.items():
        by_hand = draw(st.dictionaries(st.integers(0, counts[uid] - 1), st.integers(10, 9000)))
        links[uid] = replace(
            link,
            note=tidy(draw(LINES)),
            lengths_mm={str(segment): mm for segment, mm in by_hand.items()},
            cable_uid=draw(st.sampled_from([None, "c1"])),
            core=one_line(draw(ODD)),
            main=draw(st.sampled_from(["", link.main])),
            tracer="",
        )
    ends = {
        uid: replace(
            end,
            tag=one_line(draw(ODD)),
            solder=draw(st.booleans()),
            strip_mm=draw(st.none() | st.sampled_from([0.5, 6.35, 12.0])),
            shrink_mm=draw(st.none() | st.integers(1, 1000)),
            allowance_mm=draw(st.integers(0, 20_000)),
            terminal_part_uid=draw(st.sampled_from([None, end.terminal_part_uid])),
        )
        for uid, end in found.wire_end.items()
    }
    return replace(found, **new, cable=cables, link=links, wire_end=ends)


def take_wires(before: Design, text: str) -> Design:
    found = wire_rows(
        before, CATALOGUE, read_list(WIRES, text), make_fittings=False, take_out=False
    )
    assert [(row.name, row.refused) for row in found.rows if row.refused] == []
    return found.taken.after


def without_uids(text: str) -> list[list[str]]:
    return [row[:-1] for row in csv.reader(io.StringIO(text, newline=""))]


@SLOW
@given(any_wired())
def test_wires_come_back_as_they_were(before: Design) -> None:
    if not before.link:
        return
    text = wires_csv(before)
    assert difference(before, take_wires(before, text)) == []
    bare = replace(before, link={}, crossing={}, wire_end={}, cable={})
    for again in (text, with_semicolons(text, WIRES)):
        now = without_uids(wires_csv(take_wires(bare, again)))
        for line, wanted in zip(now, without_uids(text), strict=True):
            assert line == wanted


def test_cores_and_screens_come_back_in_their_cables() -> None:
    kinds = ("single wires", "twisted pair", "cable of cores", "screened cable")
    lamps = [lamp(f"l{n}", name=f"Lamp {n}", laid_as=kind) for n, kind in enumerate(kinds)]
    before = propose(design(lamps, plug_place_uids=("helm",)), CATALOGUE).design
    assert len(before.cable) == 3
    text = wires_csv(before)
    assert difference(before, take_wires(before, text)) == []
    bare = replace(before, link={}, crossing={}, wire_end={}, cable={})
    assert without_uids(wires_csv(take_wires(bare, text))) == without_uids(text)


# Parts


@st.composite
def any_parts(draw: Any) -> Catalogue:
    parts = draw(
        st.lists(st.sampled_from(list(CATALOGUE.parts.values())), unique_by=id, max_size=9)
    )
    names = odd_names(draw, len(parts))
    return Catalogue(
        {
            part.uid: replace(
                part,
                name=name,
                price_minor=draw(st.integers(0, 10**9)),
                price_per=draw(st.integers(1, 1000)),
                price_note=one_line(draw(ODD)),
                stocked=draw(st.booleans()),
                source=one_line(draw(ODD)) or "a data sheet",
                confirmed=draw(st.booleans()),
            )
            for part, name in zip(parts, names, strict=True)
        }
    )


def as_edited(part: CatalogPart) -> dict[str, Any]:
    return stores.values(part) | {"price_note": part.price_note, "kind": part.kind}


@SLOW
@given(any_parts(), st.booleans())
def test_parts_come_back_as_they_were(before: Catalogue, minor: bool) -> None:
    if not before.parts:
        return
    kind = part_list.list_kind(before.parts.values())
    text = part_list.parts_csv(list(before.parts.values()))
    if minor:
        rows = list(csv.reader(io.StringIO(text, newline="")))
        at = rows[0].index("price")
        rows[0][at] = "price_minor"
        for row in rows[1:]:
            row[at] = row[at].replace(".", "").lstrip("0") or "0"
        out = io.StringIO(newline="")
        csv.writer(out).writerows(rows)
        text = out.getvalue()
    for again in (text, with_semicolons(text, kind)):
        read = read_list(kind, again)
        assert {row.state for row in part_rows(before, read, "£")} == {"same"}
        fresh = part_rows(Catalogue({}), read, "£")
        assert [(row.name, row.refused) for row in fresh if row.refused] == []
        kept = [as_edited(row.part.part) for row in fresh if row.part]
        assert kept == [as_edited(part) for part in before.parts.values()]


def test_every_part_that_a_workshop_starts_with_comes_back() -> None:
    parts = list(CATALOGUE.parts.values())
    read = read_list(part_list.list_kind(parts), part_list.parts_csv(parts))
    fresh = part_rows(Catalogue({}), read, "£")
    assert [(row.name, row.refused) for row in fresh if row.refused] == []
    assert [as_edited(row.part.part) for row in fresh if row.part] == [
        as_edited(part) for part in parts
    ]
