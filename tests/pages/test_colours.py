"""Settings, Colours: the workshop's own code and its stock."""

import pytest
from starlette.testclient import TestClient

from tests.pages.reading import errors, fields


def test_code_and_stock_are_saved_drawn_and_offered(office: TestClient) -> None:
    form = fields(office.get("/colours"))
    answer = office.post(
        "/colours",
        data=form
        | {
            "main-horn": "orange",
            "tracer-horn": "black",
            "plain-black": "1",
            "tracers-orange": "wh bk; light blue / YE",
            "only_stocked_colours": "1",
        },
    )
    assert answer.status_code == 200
    assert "Wire OG/BK" in answer.text
    kept = fields(answer)
    assert kept["tracers-orange"] == "BK, WH, YE, LBU"
    assert (kept["main-horn"], kept["plain-black"]) == ("orange", "1")
    again = fields(office.post("/colours", data=kept))
    assert {name: again[name] for name in kept if name != "once"} == {
        name: value for name, value in kept.items() if name != "once"
    }


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("main-horn", "mauve"),
        ("tracer-horn", "red"),
        ("tracers-red", "XX"),
        ("tracers-red", "RD"),
        ("only_stocked_colours", "1"),
    ],
)
def test_what_is_wrong_is_named_and_kept(office: TestClient, field: str, value: str) -> None:
    form = fields(office.get("/colours")) | {"tracers-blue": "WH, pink"}
    if field == "only_stocked_colours":
        form["tracers-blue"] = ""
    answer = office.post("/colours", data=form | {field: value})
    assert answer.status_code == 422
    wrong = "main-horn" if field == "tracer-horn" else field
    assert list(errors(answer)) == [wrong]
    shown = fields(answer)
    if field != "main-horn":  # a list shows no choice that it has not
        assert shown[field] == value
    assert shown["tracers-blue"] == form["tracers-blue"]
    assert fields(office.get("/colours"))["tracers-blue"] == ""


def test_two_people_are_shown_both_values(office: TestClient) -> None:
    form = fields(office.get("/colours"))
    office.post("/colours", data=form | {"tracers-red": "BK"})
    assert office.post("/colours", data=form | {"main-lamp": "tan"}).status_code == 200
    answer = office.post("/colours", data=form | {"tracers-red": "WH"})
    assert answer.status_code == 409
    assert "Red wire, tracers" in answer.text
    office.post("/colours", data=fields(answer) | {"keep-tracers-red": "yours"})
    now = fields(office.get("/colours"))
    assert (now["tracers-red"], now["main-lamp"]) == ("WH", "tan")
