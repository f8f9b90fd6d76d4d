"""Whatever is sent to the design tables: an answer in words, never a fault of ours."""

from starlette.testclient import TestClient

from tests.pages.designed import LOOM, PROPOSED, designed_db, fitting, loom, now, wire

__all__ = ["designed_db", "loom"]
ODD = (
    "", " ", "NaN", "inf", "-1", "0", "1e308", "9" * 400, "\x00", "‮", "loose:", "loose:none", "|",
    "none|1", ",", "r0,r0", "-", "<b>", "'; --", "½", "AWG", "AWG 999", "1,000.5", "none",
    "chosen", fitting("Battery").uid, next(iter(PROPOSED.way)), next(iter(PROPOSED.circuit)),
)  # fmt: skip
PARTIAL = {"HX-Request-Type": "partial"}


def cells() -> list[tuple[str, tuple[str, ...]]]:
    link, crossing = wire(), next(iter(PROPOSED.crossing.values()))
    lamp, socket = fitting("Lamp 0"), PROPOSED.way[crossing.way_a_uid].fitting_uid
    bridge = next(each for each in PROPOSED.bridge.values() if each.fuse_a)
    load = next(each for each in PROPOSED.bridge.values() if each.fitting_uid == lamp.uid)
    return [
        (f"wires/{link.uid}", (
            "number", "main", "tracer", "csa_mm2", "length_mm", "note", "circuit_uid",
            "cable_part_uid", "route", "from", "to", "starter_cable", "own_lead", "uid",
        )),
        (f"wires/{link.uid}?segment=7&page=one", ("length_mm",)),
        (f"wires/{link.uid}/ends/{link.uid}:from", (
            "terminal_part_uid", "shrink_part_uid", "shrink_mm", "strip_mm", "solder",
            "allowance_mm", "loose_mm", "tag",
        )),
        (f"fittings/{lamp.uid}", ("name", "place_uid", "part_uid", "supplied_by", "note")),
        (f"fittings/{socket}", ("place_uid", "part_uid")),
        (f"fittings/{bridge.fitting_uid}/inside/{bridge.uid}", ("fuse_a", "load_a")),
        (f"fittings/{lamp.uid}/inside/{load.uid}", ("load_a",)),
        (f"fittings/{socket}/through/{crossing.uid}", ("way",)),
        (f"circuits/{link.circuit_uid}", ("number", "name", "service")),
        (f"circuits/{link.circuit_uid}/fuse/{bridge.uid}", ("fuse_a",)),
    ]  # fmt: skip


def test_no_odd_value_is_a_fault_of_ours(loom: TestClient) -> None:
    for path, names in cells():
        # Every third value for each cell, another third for the next: all together would take long.
        sent = [(name, value) for at, name in enumerate(names) for value in ODD[at % 3 :: 3]]
        for number, (name, value) in enumerate(sent):
            seen = ODD[number % len(ODD)]
            data = {"field": name, "value": value, "seen": seen}
            headers = PARTIAL if number % 9 else {}
            answer = loom.post(f"{LOOM}/{path}", data=data, headers=headers)
            assert answer.status_code < 500, (path, data)
    for page in ("wires", "fittings", "circuits"):
        assert loom.get(f"{LOOM}/{page}").status_code == 200


def test_no_odd_form_is_a_fault_of_ours(loom: TestClient) -> None:
    before = now(loom)
    forms = {
        "wires/new": ("from", "to", "circuit", "main", "tracer", "csa_mm2", "note"),
        "fittings/new": ("name", "part_uid", "place_uid", "supplied_by", "note"),
        "fittings/plug": ("run_uid",),
        "mend": ("rule", "table", "uid", "sentence", "next"),
    }
    for path, names in forms.items():
        for value in ODD:
            answer = loom.post(f"{LOOM}/{path}", data=dict.fromkeys(names, value))
            assert answer.status_code in (409, 422), (path, value)
    assert now(loom) == before
