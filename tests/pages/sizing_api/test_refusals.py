"""Bad input, of every sort: problem details that name the field, and never anything worse."""

import json
from typing import Any

import httpx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from tests.pages.sizing_api.calls import GOOD
from tests.pages.sizing_api.conftest import Call

JSON = {"Content-Type": "application/json"}


def refused(answer: httpx.Response) -> dict[str, str]:
    """The messages by field, of an answer that must be a refusal in full form."""
    assert answer.status_code == 422, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    problem = answer.json()
    assert set(problem) == {"type", "title", "status", "detail", "errors"}
    assert problem["status"] == 422
    assert problem["detail"]
    assert problem["errors"]
    for error in problem["errors"]:
        assert set(error) == {"field", "message"}
        assert error["message"]
    return {error["field"]: error["message"] for error in problem["errors"]}


def numbers() -> list[tuple[str, str]]:
    """Each call with each of its fields that holds a number."""
    return [
        (name, field)
        for name, body in GOOD.items()
        for field, value in body.items()
        if isinstance(value, int | float)
    ]


def needed() -> list[tuple[str, str]]:
    """Each call with each field that it needs; a size has a test of its own."""
    return [
        (name, field)
        for name, body in GOOD.items()
        for field in body
        if field not in ("csa_mm2", "awg")
    ]


@pytest.mark.parametrize(("name", "field"), numbers())
@pytest.mark.parametrize("bad", ["1", "", True, None, [1], {"value": 1}], ids=repr)
def test_only_numbers_are_numbers(call: Call, name: str, field: str, bad: object) -> None:
    assert field in refused(call(name, GOOD[name] | {field: bad}))


@pytest.mark.parametrize(("name", "field"), numbers())
@pytest.mark.parametrize("bad", ["NaN", "Infinity", "-Infinity", "1e999", "1" + "0" * 400])
def test_numbers_are_finite(api: TestClient, name: str, field: str, bad: str) -> None:
    body = json.dumps(GOOD[name] | {field: "@"}).replace('"@"', bad)
    assert field in refused(api.post(f"/api/sizing/{name}", content=body, headers=JSON))


@pytest.mark.parametrize(("name", "field"), numbers())
def test_negative_and_huge_numbers_are_refused(call: Call, name: str, field: str) -> None:
    assert field in refused(call(name, GOOD[name] | {field: 1e12}))
    if field not in ("ambient_c", "limit_c", "awg"):
        assert field in refused(call(name, GOOD[name] | {field: -1}))


@pytest.mark.parametrize(("name", "field"), needed())
def test_a_missing_field_is_named(call: Call, name: str, field: str) -> None:
    body = {key: value for key, value in GOOD[name].items() if key != field}
    assert "missing" in refused(call(name, body))[field]


@pytest.mark.parametrize("name", GOOD)
def test_an_unknown_field_is_named(call: Call, name: str) -> None:
    assert "no such field" in refused(call(name, GOOD[name] | {"colour": "NR"}))["colour"]


@pytest.mark.parametrize("name", GOOD)
@pytest.mark.parametrize(
    "content",
    [
        *(b"", b"{", b"[]", b'"text"', b"null", b"17", b"\xff\xfe"),
        b"[" * 5000,
        b'{"length_m": 1' + b"0" * 5000 + b"}",
    ],
)
def test_what_is_no_json_object_is_refused(api: TestClient, name: str, content: bytes) -> None:
    refused(api.post(f"/api/sizing/{name}", content=content, headers=JSON))


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", ""])
def test_other_content_types_are_refused(api: TestClient, kind: str) -> None:
    headers = {"Content-Type": kind} if kind else {}
    body = json.dumps(GOOD["bundle"])
    answer = api.post("/api/sizing/bundle", content=body, headers=headers)
    assert "application/json" in refused(answer)[""]


def test_kinds_of_json_are_taken(api: TestClient) -> None:
    body = json.dumps(GOOD["bundle"])
    for kind in ("application/json; charset=utf-8", "application/vnd.loom+json"):
        answer = api.post("/api/sizing/bundle", content=body, headers={"Content-Type": kind})
        assert answer.status_code == 200


WIRE_CALLS = [name for name, body in GOOD.items() if "conductor" in body]


@pytest.mark.parametrize("name", WIRE_CALLS)
@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"csa_mm2": 1.6}, "csa_mm2"),
        ({"csa_mm2": 0}, "csa_mm2"),
        ({"awg": 16}, "awg"),
        ({"conductor": "awg-solid"}, "csa_mm2"),
        ({"conductor": "litz"}, "conductor"),
        ({"conductor": 5}, "conductor"),
        ({"finish": "silver"}, "finish"),
        ({"insulation": "paper"}, "insulation"),
        ({"outside_diameter_mm": -2}, "outside_diameter_mm"),
    ],
)
def test_conductors_that_are_not_there(
    call: Call, name: str, changed: dict[str, Any], field: str
) -> None:
    assert field in refused(call(name, GOOD[name] | changed))


@pytest.mark.parametrize("name", [*WIRE_CALLS, "crimp-pull"])
def test_exactly_one_size_is_given(call: Call, name: str) -> None:
    body = {key: value for key, value in GOOD[name].items() if key not in ("csa_mm2", "awg")}
    assert "csa_mm2" in refused(call(name, body))
    assert "awg" in refused(call(name, body | {"csa_mm2": 1.5, "awg": 16}))


@pytest.mark.parametrize(
    ("awg", "kind"), [(16.5, "awg-solid"), (60, "awg-solid"), (-4, "awg-stranded-tinned")]
)
def test_gauges_that_are_not_there(call: Call, awg: float, kind: str) -> None:
    assert "awg" in refused(call("resistance", conductor=kind, awg=awg, length_m=1))


def test_solid_copper_is_not_tinned(call: Call) -> None:
    wire = {"conductor": "awg-solid", "awg": 16, "finish": "tinned"}
    assert "finish" in refused(call("resistance", **wire, length_m=1))


CHANGES = [
    ("voltage-drop", {"system_voltage_v": 60.001}, "system_voltage_v"),
    ("voltage-drop", {"system_voltage_v": 0}, "system_voltage_v"),
    ("voltage-drop", {"length_m": 1000.1}, "length_m"),
    ("fuse", {"system_voltage_v": 61}, "system_voltage_v"),
    ("fuse", {"run_m": 1001}, "run_m"),
    ("fuse", {"fuse_kind": "nail"}, "fuse_kind"),
    ("fuse", {"continuous": 1}, "continuous"),
    ("fuse", {"continuous": "yes"}, "continuous"),
    ("fuse", {"load_a": 500}, "load_a"),
    ("fuse", {"ambient_c": 70}, "ambient_c"),
    ("fuse", {"run_m": 0, "supply_mohm": 0}, "supply_mohm"),
    ("ampacity", {"limit_c": 30}, "ambient_c"),
    ("ampacity", {"covering": "wool"}, "covering"),
    ("ampacity", {"bundle_wires": 0}, "bundle_wires"),
    ("ampacity", {"bundle_wires": 1.5}, "bundle_wires"),
    ("ampacity", {"bundle_loaded_percent": 101}, "bundle_loaded_percent"),
    ("ampacity", {"on_s": 5}, "off_s"),
    ("ampacity", {"off_s": 5}, "on_s"),
    ("ampacity", {"on_s": 0, "off_s": 5}, "on_s"),
    ("conductor-temperature", {"current_a": 5000}, "current_a"),
    ("bundle", {"diameters_mm": []}, "diameters_mm"),
    ("bundle", {"diameters_mm": [1] * 201}, "diameters_mm"),
    ("bundle", {"diameters_mm": [1, 0]}, "diameters_mm.1"),
    ("bundle", {"diameters_mm": [1, "2"]}, "diameters_mm.1"),
    ("bundle", {"diameters_mm": "1, 2"}, "diameters_mm"),
    ("heat-shrink", {"grips_mm": 3}, "grips_mm"),
    ("heat-shrink", {"passes_over_mm": 300}, "passes_over_mm"),
    ("heat-shrink", {"ratio": 1}, "ratio"),
    ("heat-shrink", {"ratio": 2.7}, "ratio"),
    ("crimp-pull", {"standard": "IPC"}, "standard"),
    ("crimp-pull", {"awg": 1}, "awg"),
    ("cut-plan", {"stock": []}, "stock"),
    ("cut-plan", {"stock": [{"length_mm": 1000}]}, "stock.0.count"),
    ("cut-plan", {"stock": [{"length_mm": 300, "count": 9}]}, "cuts.0.length_mm"),
    ("cut-plan", {"stock": [{"length_mm": 1000, "count": 1}]}, "stock"),
    ("cut-plan", {"cuts": [{"length_mm": 1, "count": 5001}]}, "cuts.0.count"),
    ("cut-plan", {"cuts": [{"length_mm": 1, "count": 2600}] * 2}, "cuts"),
    ("cut-plan", {"cuts": [{"length_mm": 400.5, "count": 1}]}, "cuts.0.length_mm"),
    ("cut-plan", {"cuts": [{"length_mm": 1_000_001, "count": 1}]}, "cuts.0.length_mm"),
    ("cut-plan", {"time_limit_s": 0}, "time_limit_s"),
]


@pytest.mark.parametrize(("name", "changed", "field"), CHANGES)
def test_values_out_of_range_are_named(
    call: Call, name: str, changed: dict[str, Any], field: str
) -> None:
    assert field in refused(call(name, GOOD[name] | changed))


def test_high_voltage_is_refused_with_the_reason(call: Call) -> None:
    answer = call("voltage-drop", GOOD["voltage-drop"] | {"system_voltage_v": 400})
    assert "licensed for high voltage" in refused(answer)["system_voltage_v"]


LOAD = {"name": "lamp", "from": "lamp", "to": "bar"}
FEED = GOOD["network"]["wires"][0]
BATTERY = GOOD["network"]["supplies"][0]
NETWORKS = [
    ({"loads": [LOAD]}, "loads.0", "exactly one"),
    ({"loads": [LOAD | {"power_w": 5, "current_a": 1}]}, "loads.0", "exactly one"),
    ({"loads": [LOAD | {"power_w": "5"}]}, "loads.0.power_w", "number"),
    ({"loads": [LOAD | {"power_w": 5000}]}, "loads.0.power_w", "lamp cannot be met"),
    ({"wires": [FEED | {"resistance_ohm": 0}]}, "wires.0.resistance_ohm", "more than 0"),
    ({"wires": [FEED, FEED]}, "wires.1.name", "feed"),
    ({"wires": [FEED | {"name": str(n)} for n in range(2001)]}, "wires", "2000"),
    ({"wires": [FEED | {"to": "bar", "resistance_ohm": 0.01}]}, "supplies.0", "battery is shorted"),
    ({"wires": [FEED | {"from": "loose", "to": "end"}]}, "wires.0.from", "loose"),
    ({"supplies": []}, "supplies", "at least 1"),
    ({"supplies": [BATTERY | {"voltage_v": 72}]}, "supplies.0.voltage_v", "60 V"),
    ({"return": "nowhere"}, "return", "nowhere"),
]


@pytest.mark.parametrize(("changed", "field", "words"), NETWORKS)
def test_networks_without_an_answer_name_what_is_wrong(
    call: Call, changed: dict[str, Any], field: str, words: str
) -> None:
    told = refused(call("network", GOOD["network"] | changed))
    assert words in told[field]


VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.sampled_from([0, 1, 1.5, -1, 16, 60, 1e-9, 1e9, "none", "tape", "bar", "UL 486A"])
    | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=6,
)


@given(data=st.data())
@settings(max_examples=250, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_no_request_brings_a_call_down(api: TestClient, data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(sorted(GOOD)))
    body = {**GOOD[name], **({"time_limit_s": 0.2} if name == "cut-plan" else {})}
    known = sorted({*body, "awg", "finish", "insulation", "outside_diameter_mm", "covering"})
    for field in data.draw(st.lists(st.sampled_from(known), min_size=1, max_size=3)):
        body[field] = data.draw(VALUES)
    answer = api.post(f"/api/sizing/{name}", content=json.dumps(body), headers=JSON)
    if answer.status_code == 200:
        assert answer.json()["reasons"]
    else:
        refused(answer)


SMALL = st.floats(0, 1000, allow_nan=False)


@given(
    st.sampled_from(["iec60228-class5", "iso6722"]),
    st.sampled_from([0.5, 1, 2.5, 16, 120]),
    st.dictionaries(
        st.sampled_from(["altitude_m", "bundle_loaded_percent", "on_s", "off_s", "current_a"]),
        SMALL,
    ),
    st.floats(-60, 300),
)
@settings(max_examples=60, deadline=None)
def test_any_place_gives_a_temperature_or_a_refusal(
    api: TestClient, kind: str, csa_mm2: float, place: dict[str, float], ambient_c: float
) -> None:
    body = {"conductor": kind, "csa_mm2": csa_mm2, "ambient_c": ambient_c, "current_a": 5} | place
    answer = api.post("/api/sizing/conductor-temperature", json=body)
    if answer.status_code == 200:
        got = answer.json()
        assert got["temperature_c"] >= got["surface_c"] - 1e-6 >= ambient_c - 1e-5
    else:
        refused(answer)
