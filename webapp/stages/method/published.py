"""Rows of the published tables in seed_data. They are shown and held against; nothing is sized
by them."""

import csv

from webapp.folders import folder

Row = dict[str, str]


def rows(name: str, **wanted: str) -> list[Row]:
    """The rows of one table whose columns hold the wanted values."""
    with (folder("seed_data") / "published" / f"{name}.csv").open(
        encoding="utf-8", newline=""
    ) as file:
        return [
            row
            for row in csv.DictReader(file)
            if all(row[column] == value for column, value in wanted.items())
        ]


def gauge(written: str) -> int:
    """The gauge number of what a table writes: 16, 00 or 2/0."""
    if written.endswith("/0"):
        return 1 - int(written[0])
    return 1 - len(written) if set(written) == {"0"} else int(written)
