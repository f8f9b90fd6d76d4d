"""How values are written."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from webapp.pages import wording


def test_money_and_numbers() -> None:
    assert wording.money(170964) == "£1,709.64"
    assert wording.money(-5, "€") == "−€0.05"
    assert wording.whole(3520) == "3,520"
    assert wording.number(2.449) == "2.4"
    assert wording.number(2.25) == "2.3"
    assert wording.number(-0.01) == "0.0"
    assert wording.number(Decimal("1234.5"), 2) == "1,234.50"
    assert wording.short(2.5) == "2.5"
    assert wording.short(10.0) == "10"
    assert wording.short(100) == "100"


def test_days_and_times() -> None:
    assert wording.day(date(2026, 11, 3)) == "3 Nov 2026"
    assert wording.day("2026-11-03") == "3 Nov 2026"
    assert wording.long_day("2026-11-03") == "3 November 2026"
    moment = datetime(2026, 11, 3, 10, 14, tzinfo=UTC)
    here = moment.astimezone()
    assert wording.clock("2026-11-03T10:14:00+00:00") == f"{here:%H:%M}"
    assert wording.clock("2026-11-03T10:14:00Z") == wording.clock(moment)


def test_how_long_and_how_long_ago() -> None:
    said = {8: "8 s", 8.04: "8 s", 8.25: "8.2 s", 48: "48 s", 60: "1 min", 72: "1 min 12 s"}
    said |= {600: "10 min", 3599: "1 h 0 min", 22_560: "6 h 16 min"}
    assert {seconds: wording.duration(seconds) for seconds in said} == said
    ago = {0: "just now", 59: "just now", 60: "1 min ago", 3599: "59 min ago", 7200: "2 h ago"}
    assert {seconds: wording.ago(seconds) for seconds in ago} == ago


@pytest.mark.parametrize(("count", "words"), [(1, "1 wire"), (0, "0 wires"), (1200, "1,200 wires")])
def test_plurals(count: int, words: str) -> None:
    assert wording.plural(count, "wire") == words
    assert wording.plural(2, "box", "boxes") == "2 boxes"


def test_colour_letters() -> None:
    assert wording.letters("N", "R") == "NR"
    assert wording.letters("N") == "N"
    assert wording.letters("GN", "YE") == "GN/YE"
