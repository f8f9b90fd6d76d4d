"""The test pages: readings typed through, judged by the server, kept; the gate to done."""

import pytest
from sqlalchemy import select
from starlette.testclient import TestClient

from tests.pages.bench_client import read, start, with_launch, write
from tests.pages.reading import errors, fields
from tests.stages import passing
from tests.stages.launch import Launch
from webapp.records.testing import Reading
from webapp.stages import instruments, stage_line
from webapp.stages.building import units
from webapp.stages.instruments import InstrumentValues
from webapp.stages.testing import standing


@pytest.fixture
def loom(client: TestClient) -> Launch:
    return with_launch(client)


@pytest.fixture
def meter(client: TestClient, loom: Launch) -> int:
    with write(client) as session:
        return instruments.add(session, InstrumentValues("Micro-ohmmeter", "M1"))


@pytest.fixture
def unit_id(client: TestClient, loom: Launch, meter: int) -> int:
    """Built, and at test."""
    unit_id = start(client, loom)[0]
    with write(client) as session:
        passing.build(session, loom, unit_id)
    return unit_id


def readings(client: TestClient) -> list[tuple[str, str, float | None]]:
    """What was taken on the unit itself: its crimp samples were there before."""
    own = select(Reading).where(Reading.crimp_setup_id.is_(None)).order_by(Reading.id)
    rows = read(client, lambda s: s.scalars(own).all())
    return [(row.item_uid, row.result, row.value) for row in rows]


def number_of(client: TestClient, unit_id: int, item_uid: str) -> int:
    def find(session):  # type: ignore[no-untyped-def]
        return list(standing.plan_of(session, units.get(session, unit_id)).by_uid).index(item_uid)

    return int(read(client, find))


def typed(
    client: TestClient, unit_id: int, part: str, rows: dict[str, dict[str, str]], **more: str
) -> dict[str, str]:
    """The form of a part as the page offers it, with something typed."""
    form = fields(client.get(f"/units/{unit_id}/test?part={part}"))
    for item_uid, values in rows.items():
        number = number_of(client, unit_id, item_uid)
        form |= {f"rows-{number}-{name}": value for name, value in values.items()}
    return form | more


def test_readings_are_judged_and_kept(client: TestClient, unit_id: int, meter: int) -> None:
    rows = {"l1.0:resistance": {"value": "2.5"}, "l4.0:resistance": {"value": "40"}}
    form = typed(client, unit_id, "resistance", rows, instrument=str(meter))
    answer = client.post(f"/units/{unit_id}/test?part=resistance", data=form)
    assert "2 readings taken." in answer.text
    assert "passed: 2.5 mΩ" in answer.text
    assert "FAILED: 40 mΩ" in answer.text
    # Sent again from the browser's history: the keys are known.
    client.post(f"/units/{unit_id}/test?part=resistance", data=form)
    assert readings(client) == [
        ("l1.0:resistance", "pass", 2.5),
        ("l4.0:resistance", "fail", 40.0),
    ]
    # The instrument stays chosen for the next one.
    assert fields(answer)["instrument"] == str(meter)


def test_a_loaded_drop_is_entered_in_millivolts(
    client: TestClient, unit_id: int, meter: int
) -> None:
    address = f"/units/{unit_id}/test?part=resistance&method=loaded+drop&current_a=10"
    page = client.get(address)
    assert "at most 362.5 mV at 10 A" in page.text
    number = number_of(client, unit_id, "l4.0:resistance")
    form = fields(page) | {f"rows-{number}-value": "300", "instrument": str(meter)}
    answer = client.post(f"/units/{unit_id}/test?part=resistance", data=form)
    assert "passed: 300 mV" in answer.text
    assert "loaded drop at 10 A" in answer.text


@pytest.mark.parametrize("value", ["abc", "-1", "1e999", "1,5", "٣", "9" * 400])
def test_a_mistake_stands_beside_its_row_and_nothing_is_taken(
    client: TestClient, unit_id: int, meter: int, value: str
) -> None:
    rows = {"l1.0:resistance": {"value": "2.5"}, "l4.0:resistance": {"value": value}}
    form = typed(client, unit_id, "resistance", rows, instrument=str(meter))
    answer = client.post(f"/units/{unit_id}/test?part=resistance", data=form)
    assert answer.status_code == 422
    number = number_of(client, unit_id, "l4.0:resistance")
    assert errors(answer)[f"rows-{number}-value"]
    assert fields(answer)[f"rows-{number}-value"] == value
    assert readings(client) == []
    # The keys stay with their rows, so that sending it mended is no second reading.
    assert fields(answer)[f"rows-{number}-key"] == form[f"rows-{number}-key"]


def test_the_instrument_is_asked_for(client: TestClient, unit_id: int, meter: int) -> None:
    form = typed(client, unit_id, "continuity", {"l1.0:continuity": {"verdict": "pass"}})
    answer = client.post(f"/units/{unit_id}/test?part=continuity", data=form)
    assert answer.status_code == 422
    assert "Choose the instrument" in errors(answer)["instrument"]
    answer = client.post(
        f"/units/{unit_id}/test?part=continuity", data=form | {"instrument": "999"}
    )
    assert answer.status_code == 422
    assert readings(client) == []


def test_nothing_typed_is_said(client: TestClient, unit_id: int, meter: int) -> None:
    form = typed(client, unit_id, "continuity", {}, instrument=str(meter))
    answer = client.post(f"/units/{unit_id}/test?part=continuity", data=form)
    assert answer.status_code == 422
    assert "Nothing was entered" in answer.text


def test_a_circuit_is_passed_only_for_continuity(
    client: TestClient, unit_id: int, meter: int
) -> None:
    address = f"/units/{unit_id}/test/circuit"
    form = {"once": "c" * 32, "circuit": "Circuit 2, bow lamp", "instrument": str(meter)}
    assert client.post(address, data=form | {"instrument": ""}).status_code == 422
    answer = client.post(address, data=form)
    assert "3 readings taken for Circuit 2, bow lamp." in answer.text
    client.post(address, data=form)
    assert [uid for uid, _, _ in readings(client)] == [
        "l4.0:continuity",
        "l5.0:continuity",
        "l7.0:continuity",
    ]


def test_a_unit_that_is_built_is_not_tested_yet(client: TestClient, loom: Launch) -> None:
    second = start(client, loom)[1]
    page = client.get(f"/units/{second}/test?part=continuity").text
    assert "This unit is still being built" in page
    assert "Save the readings" not in page


def test_the_gate_to_done_and_back(
    client: TestClient, loom: Launch, unit_id: int, meter: int
) -> None:
    address = f"/units/{unit_id}/test/stage"
    answer = client.post(address, data={"act": "pass"})
    assert answer.status_code == 422
    assert "tests are open" in answer.text
    with write(client) as session:
        passing.read_everything(session, loom, unit_id, meter)
    assert "The last reading of every test passes." in client.get(f"/units/{unit_id}/test").text
    answer = client.post(address, data={"act": "pass"})
    assert answer.url.path == f"/units/{unit_id}/done"
    assert "26-001-01-C1" in answer.text
    assert client.post(address, data={"act": "back", "reason": ""}).status_code == 422
    client.post(address, data={"act": "back", "reason": "customer asks for another pull"})
    assert read(client, lambda s: stage_line.stage_of_unit(s, unit_id)) == "test"
    assert "not signed for yet" in client.get(f"/units/{unit_id}/done").text


def test_a_unit_that_is_done_stays_readable(client: TestClient, loom: Launch) -> None:
    unit_id = start(client, loom)[0]
    with write(client) as session:
        passing.finish(session, loom, unit_id)
    for page in ("build", "bench", "journal", "test", "done", "papers", "labels"):
        assert client.get(f"/units/{unit_id}/{page}").status_code == 200
    assert "Send back to test" in client.get(f"/units/{unit_id}/test").text


def test_the_looms_page_counts_the_tests(client: TestClient, unit_id: int) -> None:
    page = client.get("/looms/1/test").text
    assert "26-001-01" in page
    # Six terminals on conductors have their three heights and three pulls.
    assert "36 of 65 steps" in page


@pytest.mark.parametrize("path", ["/looms/9/test", "/units/9/test", "/units/9/done"])
def test_what_is_not_there_is_not_found(client: TestClient, loom: Launch, path: str) -> None:
    assert client.get(path).status_code == 404


def test_readings_for_what_is_not_there_are_not_found(client: TestClient, loom: Launch) -> None:
    assert client.post("/units/9/test", data={}).status_code == 404
    assert client.post("/units/9/test/circuit", data={}).status_code == 404
    assert client.post("/units/9/test/stage", data={"act": "pass"}).status_code == 404
