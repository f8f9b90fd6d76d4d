"""The demo's places, runs and needs, from its CSV files."""

import csv
from pathlib import Path
from typing import Any

from webapp.folders import folder
from webapp.stages.design.commands import new_uid
from webapp.stages.design.rows import Need, Place, Row, Run

NUMBERS = ("on_s", "off_s", "inrush_a", "inrush_s", "max_fuse_a")


def rows(name: str) -> list[Row]:
    """Places, runs and needs of one demo loom."""
    reader = _Reader()
    base = folder("seed_data") / "demo" / name
    runs = [reader.run(n, line) for n, line in enumerate(_lines(base / "runs.csv"))]
    needs = [reader.need(n, line) for n, line in enumerate(_lines(base / "needs.csv"))]
    return [*reader.places.values(), *runs, *needs]


def _lines(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


class _Reader:
    def __init__(self) -> None:
        self.places: dict[str, Place] = {}
        self._needs: dict[str, str] = {}

    def place(self, name: str) -> str | None:
        if not name:
            return None
        if name not in self.places:
            self.places[name] = Place(uid=new_uid(), position=len(self.places), name=name)
        return self.places[name].uid

    def run(self, position: int, line: dict[str, str]) -> Run:
        return Run(
            uid=new_uid(),
            position=position,
            from_place_uid=self.place(line["from_place"]) or "",
            to_place_uid=self.place(line["to_place"]) or "",
            length_mm=int(line["length_mm"]),
            plus_minus_mm=int(line["plus_minus_mm"]),
            measured_how=line["measured_how"],
            measured_by="Ada Quill",
            covering=line["covering"],
            surround_c=float(line["surround_c"]),
            through=line["through"],
        )

    def need(self, position: int, line: dict[str, str]) -> Need:
        uid = self._needs[line["name"]] = new_uid()
        numbers: dict[str, Any] = {
            name: float(line[name]) if line[name] else None for name in NUMBERS
        }
        return Need(
            uid=uid,
            position=position,
            name=line["name"],
            quantity=int(line["quantity"]),
            place_uid=self.place(line["place"]) or "",
            kind=line["kind"],
            rating=float(line["rating"]),
            rating_unit=line["rating_unit"],
            rated_at_v=float(line["rated_at_v"]),
            control=line["control"],
            control_place_uid=self.place(line["control_place"]),
            second_place_uid=self.place(line["second_place"]),
            switched_with_uid=self._needs.get(line["switched_with"]),
            service=line["service"],
            max_drop_percent=float(line["max_drop_percent"]),
            before_isolator=line["before_isolator"] == "1",
            own_lead=line["own_lead"] == "1",
            note=line["note"],
            **numbers,
        )
