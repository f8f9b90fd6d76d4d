"""Lists pasted or uploaded: what is shown before, what is written after, what is refused."""

import csv
import io

import pytest
from starlette.testclient import TestClient

from tests.pages.launch import (
    FILES,
    begin,
    bring_in,
    confirm,
    day_launch,
    day_launch_loom,
    look,
    sent,
    words,
)
from tests.pages.reading import errors
from webapp.database import writing
from webapp.stages.design import entry
from webapp.stages.design.rows import Design

# What the notes of the day launch were taken to say; every other need says nothing more.
UNDERSTOOD = {
    "Start solenoid": {"only_in_neutral": True},
    "Charge warning lamp": {"to_field_terminal": True},
    "Stern lamp": {"switched_with": "Port and starboard bow lamp"},
    "Instrument lamps": {"switched_with": "Port and starboard bow lamp"},
    "Bilge pump": {"before_isolator": True, "second_place": "helm"},
    "VHF radio": {"own_lead": True},
    "Cabin lamps": {"kind": "led"},
}
SERVICES = {
    "Starter motor": "start",
    "Start solenoid": "start",
    "Alternator": "charge",
    "Charge warning lamp": "charge",
    "Stop solenoid": "engine stop",
    "Port and starboard bow lamp": "navigation",
    "Stern lamp": "navigation",
    "All-round white lamp": "navigation",
    "Instrument lamps": "instrument",
    "Bilge pump": "pump",
    "Horn": "horn",
    "VHF radio": "radio",
    "Depth sounder": "other",
    "Windscreen wiper": "wiper",
    "Searchlight": "search lamp",
    "Cabin lamps": "cabin lamps",
    "Accessory socket": "accessory",
    "Engine blower": "blower",
    "Fuel level sender": "fuel sender",
}
NUMBERS = ("rating", "rated_at_v", "max_drop_percent", "inrush_a", "inrush_s", "max_fuse_a")
HEAD = "need,place,kind,rating,rating_unit,control,control_place,note"
GOOD = "Bell,bow,motor,1,A,switch,helm,"


@pytest.fixture
def loom(office: TestClient) -> str:
    return begin(office)


def design(client: TestClient) -> Design:
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        return entry.latest(session, 1)


def table(client: TestClient, name: str) -> list[dict[str, object]]:
    return list(entry.shown(design(client), name).values())


def day_launch_rows(what: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(day_launch(what))))


def number(text: str) -> float | None:
    return float(text) if text else None


def test_every_need_of_the_day_launch_arrives(office: TestClient) -> None:
    day_launch_loom(office)
    expected = []
    for row in day_launch_rows("needs"):
        plain: dict[str, object] = {
            "name": row["need"],
            "quantity": int(row["quantity"]),
            **{name: number(row[name]) for name in NUMBERS},
            **{
                name: row[name]
                for name in ("place", "kind", "rating_unit", "control", "control_place", "duty")
            },
            "note": row["note"],
            "service": SERVICES[row["need"]],
            "switched_with": "",
            **dict.fromkeys(("second_place", "relay_place", "also_with", "apart_from"), ""),
            "live_when": "always",
            "laid_as": "single wires",
            "feeds": 1,
            "extra_sizes": 0,
            **dict.fromkeys(
                ("before_isolator", "only_in_neutral", "own_lead", "to_field_terminal"), False
            ),
        }
        expected.append(plain | UNDERSTOOD.get(row["need"], {}))
    assert len(expected) == 19
    assert table(office, "need") == expected


def test_every_run_of_the_day_launch_arrives(office: TestClient) -> None:
    day_launch_loom(office)
    expected = [
        {
            "from_place": row["from_place"],
            "to_place": row["to_place"],
            "length_mm": int(row["length_mm"]),
            "plus_minus_mm": int(row["plus_minus_mm"]),
            "measured_how": row["measured_by"],
            "measured_by": "",
            "covering": row["covering"],
            "surround_c": float(row["surround_c"]),
            "through": row["through"],
            "covering_part_uid": None,
            "through_part_uid": None,
            "bend_at_mm": None,
            "bend_radius_mm": None,
        }
        for row in day_launch_rows("runs")
    ]
    assert len(expected) == 10
    assert table(office, "run") == expected


def test_every_fact_of_the_day_launch_arrives(office: TestClient) -> None:
    day_launch_loom(office)
    (basis,) = table(office, "basis")
    assert basis == {
        "supply_place": "battery box",
        "isolator_place": "battery box",
        "fuse_board_place": "",
        "plug_places": ["wheelhouse roof", "helm"],
        "battery": "lead-acid 70 Ah",
        "supply_mohm_new": 6.0,
        "supply_mohm_old_cold": 25.0,
        "heat_at_v": 14.4,
        "drop_at_v": 11.5,
        "ambient_c": 35.0,
        "standard": "small-craft-33cfr183",
        "colour_code": "small-craft",
        "cable_kind": "iec60228-class5",
        "cable_finish": "tinned",
        "insulation": "pvc",
        "limit_c": 105.0,
        "min_section_mm2": 1.0,
        "terminal_finish": "crimp only",
        "fuse_sharing": "own",
    }
    places = {place["name"] for place in table(office, "place")}
    assert places == {
        "battery box", "engine bay", "bulkhead", "helm", "cabin", "wheelhouse roof",
        "mast", "foredeck", "bow", "transom", "fuel tank",
    }  # fmt: skip


@pytest.mark.parametrize("headers", [{}, {"HX-Request-Type": "partial"}])
def test_looking_writes_nothing(office: TestClient, loom: str, headers: dict[str, str]) -> None:
    office.headers.update(headers)
    page = look(office, loom, "needs", day_launch("needs"))
    assert page.status_code == 200
    assert "19 rows read: 19 new" in words(page)
    assert "Places that will be added: engine bay, helm" in words(page)
    assert not design(office).need
    assert office.get(f"{loom}/import").status_code == 200


def test_what_was_understood_can_be_changed_before_it_is_written(
    office: TestClient, loom: str
) -> None:
    page = look(office, loom, "needs", day_launch("needs"))
    shown = sent(page)
    assert shown["rows-8-switched_with"] == "Port and starboard bow lamp"
    assert shown["rows-11-before_isolator"] == "1"
    assert shown["rows-17-kind"] == "led"
    changed = shown | {
        "rows-8-switched_with": "",
        "rows-17-kind": "lamp",
        "rows-2-service": "other",
    }
    del changed["rows-11-before_isolator"]
    assert office.post(f"{loom}/import/rows", data=changed).url.path == f"{loom}/needs"
    needs = {need["name"]: need for need in table(office, "need")}
    assert needs["Stern lamp"]["switched_with"] == ""
    assert needs["Cabin lamps"]["kind"] == "lamp"
    assert needs["Bilge pump"]["before_isolator"] is False
    assert needs["Bilge pump"]["second_place"] == "helm"
    assert needs["Starter motor"]["service"] == "other"


def test_the_same_list_again_changes_nothing(office: TestClient) -> None:
    loom = day_launch_loom(office)
    before = design(office)
    for what, text in (("needs", "19 are there already"), ("runs", "10 are there already")):
        page = look(office, loom, what, day_launch(what))
        assert text in words(page)
        assert "There is nothing to import" in page.text
        refused = confirm(office, loom, page)
        assert refused.status_code == 422
        assert "nothing in this list to import" in refused.text
    assert design(office) == before


def test_a_row_of_the_same_name_changes_only_what_the_list_says(office: TestClient) -> None:
    loom = day_launch_loom(office)
    text = "need,place,kind,rating,note\nbilge PUMP,engine bay,motor,4.5,before the isolator"
    page = look(office, loom, "needs", text)
    assert "1 row read: 1 changes what is there" in words(page)
    assert "Rating: 3.5 → 4.5" in words(page)
    confirm(office, loom, page)
    pump = next(need for need in table(office, "need") if need["name"] == "bilge PUMP")
    assert pump["rating"] == 4.5
    assert pump["second_place"] == "helm"
    assert pump["max_fuse_a"] == 5.0
    assert len(table(office, "need")) == 19


BAD = f"""{HEAD},rated_at_v,quantity,max_drop_percent,before_isolator
{GOOD},12,1,3,
,bow,motor,1,A,switch,helm,,,,,
Lamp,,lamp,1,A,switch,helm,,,,,
Fan,bow,rocket,1,A,switch,helm,,,,,
Pump,bow,motor,-1,A,switch,helm,,,,,
Heater,bow,resistive,abc,A,switch,helm,,,,,
Coil,bow,resistive,1,V,switch,helm,,,,,
Siren,bow,motor,1,A,switch,,,,,,
Winch,bow,motor,1,A,switch,helm,,72,,,
Airbag,bow,motor,1,A,switch,helm,,,,,
Kettle 230 V,bow,resistive,1,A,switch,helm,,,,,
Gong,bow,motor,1,A,switch,helm,,,0,,
Whistle,bow,motor,1,A,switch,helm,,,,60,
Bell,bow,motor,2,A,switch,helm,,,,,
Torch,bow,lamp,1,A,switch,helm,,,,,perhaps
Flare,bow,lamp,1,A,switch,helm,,,,,,too many
Beacon,bow,lamp,1,A,switch,helm,same switch as the torch,,,,
"Buzz"er,bow,motor,1,A,switch,helm,,,,,
"""
BAD_LINES = {
    3: "Need is missing",
    4: "Where is missing",
    5: "Kind: choose one",
    6: "Rating must be 0 or more",
    7: "Rating must be a number",
    8: "Unit: choose one",
    9: "Say where the switch sits",
    10: "72 V is refused",
    11: "Restraint circuits",
    12: "230 V is refused",
    13: "How many must be 1 or more",
    14: "Drop at most must be 50 % or less",
    15: "Line 2 of the list has it already",
    16: "Before the isolator: write yes or no",
    17: "13 cells, and 12 columns",
    18: "No need is called “Torch”",
    19: "A quoted cell is not closed",
}


def test_every_sort_of_bad_row_is_named_with_its_reason(office: TestClient, loom: str) -> None:
    page = look(office, loom, "needs", BAD)
    assert "18 rows read: 1 new, 17 are refused" in words(page)
    body = page.text[page.text.index("<tbody>") :]
    rows = {int(row.split('class="n">')[1].split("<")[0]): row for row in body.split("<tr")[1:]}
    for line, reason in BAD_LINES.items():
        assert reason in rows[line], line
    assert sent(page)["text"] == BAD


def test_refused_rows_are_left_out_only_by_choice(office: TestClient, loom: str) -> None:
    page = look(office, loom, "needs", BAD)
    refused = confirm(office, loom, page)
    assert refused.status_code == 422
    assert "Some rows are refused" in refused.text
    assert not design(office).need
    done = confirm(office, loom, page, without_refused="1")
    assert "1 row imported; 17 rows left out." in words(done)
    assert [need["name"] for need in table(office, "need")] == ["Bell"]


def test_a_text_that_is_no_list_stays_to_be_mended(office: TestClient, loom: str) -> None:
    page = look(office, loom, "needs", "Horn, at the bow")
    assert page.status_code == 422
    assert "name the columns" in errors(page)["text"]
    assert sent(page)["text"] == "Horn, at the bow"
    assert look(office, loom, "poems", HEAD).status_code == 422


def test_a_text_that_was_spoilt_on_the_way_is_not_imported(office: TestClient, loom: str) -> None:
    page = look(office, loom, "needs", f"{HEAD}\n{GOOD}")
    answer = confirm(office, loom, page, text="Horn")
    assert answer.status_code == 422
    assert sent(answer)["text"] == "Horn"


def test_a_file_is_read_and_shown_in_the_box(office: TestClient, loom: str) -> None:
    data = {"what": "needs", "text": ""}
    content = ("\ufeff" + f"{HEAD}\n{GOOD}".replace(",", ";")).encode()
    file = {"file": ("needs.csv", content, "text/csv")}
    page = office.post(f"{loom}/import", data=data, files=file)
    assert "1 row read: 1 new" in words(page)
    assert sent(page)["text"].startswith("need;place")
    assert confirm(office, loom, page).url.path == f"{loom}/needs"
    for wrong in (b"\x89PNG\r\n\x81\x8d", b"x" * (1024 * 1024 + 1)):
        answer = office.post(
            f"{loom}/import", data=data, files={"file": ("../../x", wrong, "image/png")}
        )
        assert answer.status_code == 422
        assert "text" in errors(answer)


def test_a_design_that_changed_meanwhile_is_looked_at_again(office: TestClient, loom: str) -> None:
    page = look(office, loom, "needs", f"{HEAD}\n{GOOD}")
    bring_in(office, loom, "needs", f"{HEAD}\nGong,bow,motor,1,A,switch,helm,")
    stale = confirm(office, loom, page)
    assert stale.status_code == 409
    assert "changed after this list was shown" in stale.text
    assert len(design(office).need) == 1
    assert confirm(office, loom, stale).url.path == f"{loom}/needs"
    assert len(design(office).need) == 2


def test_facts_of_the_job_are_compared_and_never_changed(office: TestClient, loom: str) -> None:
    text = "field,value\nnominal_v,24\nunits,5\nhull number,7\nambient_c,40\nheat_at_v,99\n"
    page = look(office, loom, "facts", text)
    said = words(page)
    assert "The job's card has nominal voltage 12" in said
    assert "The job's card has number of units 6" in said
    assert "Not used: no fact of this name" in said
    assert "Surroundings: 30 → 40" in said
    assert "up to 60 V DC" in said
    done = confirm(office, loom, page, without_refused="1")
    assert "1 row imported; 1 row left out." in words(done)
    (basis,) = table(office, "basis")
    assert (basis["ambient_c"], basis["heat_at_v"]) == (40.0, 14.4)
    assert design(office).nominal_v == 12


def test_runs_that_are_refused_and_a_length_that_is_missing(office: TestClient, loom: str) -> None:
    text = (
        "from,to,length_mm,covering\nhelm,bow,2400,PVC sleeve\nbow,Helm,1,\nhelm,helm,1,\n"
        "helm,mast,0,\nhelm,cabin,,\nhelm,roof,2.5,velvet\n"
    )
    said = words(look(office, loom, "runs", text))
    assert "6 rows read: 2 new, 4 are refused" in said
    assert "Line 2 of the list has it already" in said
    assert "Both ends are the same" in said
    assert "Length must be 1 mm or more" in said
    assert "It has no length yet" in said
    assert "whole millimetres" in said
    assert "No covering “velvet”" in said


@pytest.mark.parametrize("what", ["needs", "runs"])
def test_a_list_goes_out_and_comes_back_as_it_was(office: TestClient, what: str) -> None:
    loom = day_launch_loom(office)
    if what == "needs":
        note = '=HYPERLINK("x"), "quoted", ; and\ttabs'
        row = {"needs-0-note": note, "needs-0-name": "-Starter"}
        office.post(f"{loom}/needs", data=sent(office.get(f"{loom}/needs")) | row)
    before = design(office)
    answer = office.get(f"{loom}/{what}.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    header = answer.text.removeprefix("\ufeff").split("\r\n")[0]
    assert header.startswith(day_launch(what).splitlines()[0])
    for cell in (cell for row in csv.reader(io.StringIO(answer.text)) for cell in row):
        assert not cell.startswith(("=", "+", "@", "\t"))
        assert not cell.startswith("-") or float(cell) < 0
    assert "are there already" in words(look(office, loom, what, answer.text))
    # Into an empty loom of the same job, the same rows.
    office.post("/jobs/1/looms", data={"loom-name": "second loom", "loom-quantity": "1"})
    bring_in(office, "/looms/2", what, answer.text)
    with writing(office.app.state.engine) as session:  # type: ignore[attr-defined]
        copy = entry.latest(session, 2)
    name = what.removesuffix("s")
    assert list(entry.shown(copy, name).values()) == list(entry.shown(before, name).values())


def test_the_files_are_all_there() -> None:
    assert all(day_launch(what) for what in FILES)
