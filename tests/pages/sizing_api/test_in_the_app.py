"""The calls in the whole application: who may call, and how they are described."""

import json
from typing import get_args

from starlette.testclient import TestClient

from tests.pages.sizing_api.calls import DEFAULTS, GOOD
from webapp.pages.sizing_api import fields, protection, wires
from webapp.sizing import conductors
from webapp.sizing.fuse_gates import FUSE_KIND_IDS
from webapp.sizing.heat.place import COVERING_NAMES


def test_no_set_up_and_no_log_in_stand_before_a_call(client: TestClient) -> None:
    for name, body in GOOD.items():
        answer = client.post(f"/api/sizing/{name}", json=body, follow_redirects=False)
        assert answer.status_code == 200, name


def test_another_sites_page_may_not_call(client: TestClient) -> None:
    body = GOOD["bundle"]
    elsewhere = {"Origin": "http://elsewhere.example"}
    assert client.post("/api/sizing/bundle", json=body, headers=elsewhere).status_code == 403
    own = {"Origin": "http://127.0.0.1:8000"}
    assert client.post("/api/sizing/bundle", json=body, headers=own).status_code == 200


def test_a_body_of_many_megabytes_is_not_read(client: TestClient) -> None:
    headers = {"Content-Type": "application/json"}
    body = b"[" + b" " * (9 * 1024 * 1024)
    answer = client.post("/api/sizing/bundle", content=body, headers=headers)
    assert answer.status_code == 413
    assert answer.headers["content-type"] == "application/problem+json"


def test_every_call_is_described(client: TestClient) -> None:
    told = client.get("/openapi.json").json()
    schemas = told["components"]["schemas"]
    for name, body in GOOD.items():
        call = told["paths"][f"/api/sizing/{name}"]["post"]
        request = _named(schemas, call["requestBody"]["content"]["application/json"])
        assert request["additionalProperties"] is False
        assert set(request["required"]) <= set(body)
        assert {*body, *DEFAULTS.get(name, {})} <= set(request["properties"])
        for field, value in DEFAULTS.get(name, {}).items():
            if field != "insulation":
                assert request["properties"][field]["default"] == value
        answered = _named(schemas, call["responses"]["200"]["content"]["application/json"])
        assert set(client.post(f"/api/sizing/{name}", json=body).json()) == set(
            answered["properties"]
        )
        assert list(call["responses"]["422"]["content"]) == ["application/problem+json"]


def _named(schemas: dict[str, dict[str, object]], content: dict[str, dict[str, str]]) -> dict:  # type: ignore[type-arg]
    return schemas[content["schema"]["$ref"].rpartition("/")[2]]


def test_the_description_names_nothing_that_json_lacks(client: TestClient) -> None:
    text = client.get("/openapi.json").text
    json.loads(text, parse_constant=lambda name: (_ for _ in ()).throw(ValueError(name)))


def test_the_lists_of_choices_are_the_sizings_own() -> None:
    assert get_args(fields.ConductorKind) == conductors.KINDS
    assert set(get_args(fields.Insulation)) == set(conductors.INSULATIONS)
    assert set(get_args(wires.Covering)) == set(COVERING_NAMES)
    assert set(get_args(protection.FuseKindId)) == set(FUSE_KIND_IDS)
