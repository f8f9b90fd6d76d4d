import pytest
from starlette.testclient import TestClient

from tests.pages.reading import errors, fields
from webapp.database import reading
from webapp.stages.building import times


def test_settings_warn_while_the_address_is_loopback(office: TestClient) -> None:
    page = office.get("/settings")
    assert "lead nowhere yet" in page.text
    form = fields(page)
    answer = office.post("/settings", data=form | {"address_url": "http://192.168.1.20:8000"})
    assert answer.status_code == 200
    assert "lead nowhere yet" not in answer.text


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", ""),
        ("currency", ""),
        ("step_depth", "deep"),
        ("address_url", "x"),
        ("pause_gap_min", "0"),
        ("pause_gap_min", "241"),
        ("pause_gap_min", "ten"),
    ],
)
def test_wrong_settings_are_named(office: TestClient, field: str, value: str) -> None:
    form = fields(office.get("/settings")) | {"phone": "01 234"}
    answer = office.post("/settings", data=form | {field: value})
    assert answer.status_code == 422
    assert list(errors(answer)) == [field]
    assert fields(answer)["phone"] == "01 234"


def test_the_pause_is_typed_in_minutes(office: TestClient) -> None:
    form = fields(office.get("/settings"))
    assert form["pause_gap_min"] == "10"
    office.post("/settings", data=form | {"pause_gap_min": "15"})
    assert fields(office.get("/settings"))["pause_gap_min"] == "15"
    with reading(office.app.state.engine) as session:  # type: ignore[attr-defined]
        assert times.gap_s(session) == 900


def test_settings_of_two_people_clash(office: TestClient) -> None:
    form = fields(office.get("/settings"))
    office.post("/settings", data=form | {"phone": "1"})
    answer = office.post("/settings", data=form | {"phone": "2"})
    assert answer.status_code == 409
    office.post("/settings", data=fields(answer) | {"keep-phone": "yours"})
    assert fields(office.get("/settings"))["phone"] == "2"


def test_an_untouched_rates_form_changes_nothing(office: TestClient) -> None:
    form = fields(office.get("/rates"))
    assert (form["labour_minor_per_hour"], form["set_up_s"]) == ("42.00", "2")
    office.post("/rates", data=form | {"set_up_s": "1.2346", "vat_percent": "17.5"})
    again = fields(office.get("/rates"))
    office.post("/rates", data=again)
    assert fields(office.get("/rates")) | {"once": ""} == again | {"once": ""}
    assert again["vat_percent"] == "17.5"


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("labour_minor_per_hour", "forty"),
        ("labour_minor_per_hour", "-1"),
        ("set_up_s", "1,5"),
        ("deposit_percent", "101"),
        ("discount_percent", "101"),
        ("vat_percent", "-1"),
        ("validity_days", "0"),
        ("time_crimp", "1.5"),
        ("time_crimp", ""),
    ],
)
def test_a_wrong_rate_is_named_and_kept(office: TestClient, field: str, value: str) -> None:
    form = fields(office.get("/rates"))
    answer = office.post("/rates", data=form | {field: value, "margin_percent": "33"})
    assert answer.status_code == 422
    assert list(errors(answer)) == [field]
    shown = fields(answer)
    assert (shown[field], shown["margin_percent"]) == (value, "33")
    assert fields(office.get("/rates"))["margin_percent"] == "20"


def test_rates_of_two_people_merge_or_clash(office: TestClient) -> None:
    form = fields(office.get("/rates"))
    office.post("/rates", data=form | {"labour_minor_per_hour": "45", "time_crimp": "40"})
    assert office.post("/rates", data=form | {"vat_percent": "19"}).status_code == 200
    answer = office.post("/rates", data=form | {"labour_minor_per_hour": "50"})
    assert answer.status_code == 409
    assert "45.00" in answer.text
    assert "50.00" in answer.text
    office.post("/rates", data=fields(answer) | {"keep-labour_minor_per_hour": "yours"})
    now = fields(office.get("/rates"))
    assert (now["labour_minor_per_hour"], now["vat_percent"], now["time_crimp"]) == (
        "50.00",
        "19",
        "40",
    )


def test_people_are_added_changed_and_leave(office: TestClient) -> None:
    good = {"name": "Tom Hale", "initials": "TH", "role": "bench"}
    for field, value in (
        ("name", ""),
        ("initials", "TOMMY"),
        ("role", "guest"),
        ("name", "ADA quill"),
    ):
        answer = office.post("/people", data=good | {field: value})
        assert answer.status_code == 422
        assert list(errors(answer)) == [field]
    assert "Tom Hale" in office.post("/people", data=good).text
    form = fields(office.get("/people/2"))
    assert form["active"] == "1"
    del form["active"]
    assert "no longer" in office.post("/people/2", data=form).text
    assert "Tom Hale</option>" not in office.get("/jobs").text
    assert office.get("/people/9").status_code == 404


def test_the_last_owner_stays(office: TestClient) -> None:
    form = fields(office.get("/people/1"))
    answer = office.post("/people/1", data=form | {"role": "bench"})
    assert answer.status_code == 422
    assert "owner" in errors(answer)["role"]
    del form["active"]
    answer = office.post("/people/1", data=form)
    assert answer.status_code == 422
    assert "one active owner" in errors(answer)["active"]
    assert "Ada Quill</option>" in office.get("/jobs").text


def test_instruments_show_when_they_are_overdue(office: TestClient) -> None:
    assert "No instruments yet" in office.get("/instruments").text
    good = {"name": "bench meter", "serial": "17", "calibrated_on": "1 Jan 2019"}
    answer = office.post("/instruments", data=good | {"calibration_due_on": "1 Jan 2018"})
    assert answer.status_code == 422
    assert list(errors(answer)) == ["calibration_due_on"]
    assert fields(answer)["serial"] == "17"
    page = office.post("/instruments", data=good | {"calibration_due_on": "1 Jan 2020"})
    assert "overdue" in page.text
    form = fields(office.get("/instruments/1"))
    first = office.post("/instruments/1", data=form | {"calibration_due_on": "1 Jan 2090"})
    assert "overdue" not in first.text
    assert office.post("/instruments/1", data=form | {"calibration_due_on": ""}).status_code == 409
    assert office.post("/instruments/1", data=form | {"name": ""}).status_code == 422
    assert office.get("/instruments/9").status_code == 404


SHEET = {
    "name": "Ours",
    "page_width_mm": "210",
    "page_height_mm": "297",
    "width_mm": "70",
    "height_mm": "36",
    "columns": "3",
    "rows": "8",
    "margin_left_mm": "0",
    "margin_top_mm": "4.5",
    "pitch_x_mm": "70",
    "pitch_y_mm": "36",
    "offset_x_mm": "0",
    "offset_y_mm": "0",
}


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", ""),
        ("width_mm", ""),
        ("width_mm", "wide"),
        ("width_mm", "2"),
        ("columns", "4"),
        ("rows", "9"),
        ("columns", "0"),
        ("pitch_x_mm", "60"),
        ("pitch_y_mm", "30"),
        ("margin_left_mm", "-1"),
        ("offset_y_mm", "40"),
    ],
)
def test_a_sheet_that_does_not_fit_names_the_field(
    office: TestClient, field: str, value: str
) -> None:
    answer = office.post("/label-sheets/new", data=SHEET | {field: value})
    assert answer.status_code == 422
    assert list(errors(answer)) == [field]
    assert fields(answer)["margin_top_mm"] == "4.5"
    assert "Ours" not in office.get("/label-sheets").text


def test_sheets_are_added_changed_and_taken_off(office: TestClient) -> None:
    assert "Ours" in office.post("/label-sheets/new", data=SHEET).text
    form = fields(office.get("/label-sheets/6"))
    assert form["pitch_x_mm"] == "70"
    assert office.post("/label-sheets/6", data=form | {"rows": "7"}).status_code == 200
    assert office.post("/label-sheets/6", data=form | {"rows": "6"}).status_code == 409
    assert list(errors(office.post("/label-sheets/6", data=form | {"columns": "9"}))) == ["columns"]
    assert "Ours is off the list" in office.post("/label-sheets/6/remove").text
    assert office.get("/label-sheets/6").status_code == 404


def test_rolls_are_two_measurements(office: TestClient) -> None:
    assert "Tape width" in office.get("/label-sheets/new?kind=roll").text
    good = {"name": "Tape", "height_mm": "12", "width_mm": "40"}
    for field, value in (("height_mm", "3"), ("width_mm", "5"), ("height_mm", "x")):
        answer = office.post("/label-sheets/new?kind=roll", data=good | {field: value})
        assert answer.status_code == 422
        assert list(errors(answer)) == [field]
    assert "Tape" in office.post("/label-sheets/new?kind=roll", data=good).text
    form = fields(office.get("/label-sheets/6"))
    assert office.post("/label-sheets/6", data=form | {"width_mm": "50"}).status_code == 200
    assert fields(office.get("/label-sheets/6"))["width_mm"] == "50"
