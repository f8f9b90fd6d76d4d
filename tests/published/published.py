"""Rows of the published tables. They are read by tests alone: the code has tables of its own."""

import csv
from pathlib import Path

FOLDER = Path(__file__).parents[2] / "seed_data" / "published"


def rows(name: str, **wanted: str) -> list[dict[str, str]]:
    """The rows of one table whose columns hold the wanted values, each with its source."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        found = [
            row
            for row in csv.DictReader(file)
            if all(row[column] == value for column, value in wanted.items())
        ]
    assert found, f"{name} holds no rows with {wanted}"
    assert all(row["source"] for row in found), f"a row of {name} names no source"
    return found


def gauge(written: str) -> int:
    """The gauge number of what a table writes: 16, 00 or 2/0."""
    if written.endswith("/0"):
        return 1 - int(written[0])
    return 1 - len(written) if set(written) == {"0"} else int(written)
