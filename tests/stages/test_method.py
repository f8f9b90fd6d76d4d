"""The Method page's figures: nothing published is left out unsaid, and its sentences are so."""

import csv
from collections import Counter
from math import log
from pathlib import Path

import pytest

from webapp.folders import folder
from webapp.sizing.heat.compare import Comparison
from webapp.stages import method
from webapp.stages.method import Subject, looked_up
from webapp.stages.method import published as reading
from webapp.stages.method.subject import Held

PUBLISHED = folder("seed_data") / "published"


def table(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def subjects() -> dict[str, Subject]:
    return {each.slug: each for chapter in method.chapters() for each in chapter.subjects}


def published(*slugs: str) -> Counter[float]:
    shown = subjects()
    return Counter(row.values.published for slug in slugs for row in shown[slug].rows)


def test_every_published_current_is_shown_once() -> None:
    shown = published(
        *("free-air", "vehicle-30", "vehicle-50", "lamp-cable", "single-105"),
        *("vacuum", "vacuum-bundle"),
    )
    shown.update(each.current_a for each in method.unstated_currents())
    assert shown == Counter(float(row["current_a"]) for row in table("ampacity_points"))


def test_every_small_craft_current_is_shown_once() -> None:
    shown = published("small-craft", "small-craft-rest", "engine-space", "small-craft-metric")
    assert shown == Counter(float(row["i_max_a"]) for row in table("small_craft_ampacity"))


def is_shown(slug: str, row: dict[str, str]) -> bool:
    """Whether a row is one that the page does not say it leaves out."""
    if slug == "bundle":
        return row["wires"] != "1"
    if slug == "crimps":
        return not row["standard"].startswith(("UL 486E", "M39029"))
    if slug == "adiabatic":
        return row["conductor"] == "copper" and row["insulation"] != "formula constants"
    return row["conductor_class"] != "2"


@pytest.mark.parametrize(
    ("slug", "name", "column"),
    [
        ("bundle", "bundle_derating_points", "factor"),
        ("crimps", "crimp_pull_forces", "force_min_n"),
        ("adiabatic", "adiabatic_k", "k_a_sqrt_s_per_mm2"),
        ("resistance", "resistance_iec60228", "r20_max_mohm_per_m"),
    ],
)
def test_only_what_is_said_is_left_out(slug: str, name: str, column: str) -> None:
    rows = table(name)
    kept = [row for row in rows if is_shown(slug, row)]
    assert published(slug) == Counter(float(row[column]) for row in kept)
    assert len(kept) < len(rows)
    assert subjects()[slug].left_out


def test_every_row_names_its_source_and_whether_it_was_read() -> None:
    for subject in (*subjects().values(), method.circles()):
        assert subject.rows
        assert all(row.source for row in subject.rows)
    assert all(row.read for row in subjects()["small-craft"].rows)
    assert not any(row.read for row in subjects()["small-craft-metric"].rows)
    chart = subjects()["free-air"]
    assert [row.read for row in chart.rows] == [True, False, False, False, False]


def test_a_spread_counts_in_per_cent_or_in_the_unit() -> None:
    rows = [
        Held("one", Comparison(10, 11), "a list", True, ""),
        Held("other", Comparison(2, 1), "a list", False, ""),
    ]
    shares = Subject("s", "S", "A", "", "", 10, rows)
    assert shares.worst.what == "other"
    assert (shares.spread.worst, shares.spread.mean) == (-50, -20)
    assert shares.share_within == 0.5
    units = Subject("s", "S", "", "", "", 0.5, rows, by_percent=False)
    assert (units.spread.rms, units.spread.mean, units.share_within) == (1, 0, 0)
    assert units.sources == ["a list"]


def off(slug: str, *words: str) -> list[float]:
    subject = subjects()[slug]
    found = [subject.off(row) for row in subject.rows if all(word in row.what for word in words)]
    assert found
    return found


def test_what_is_said_of_the_differences_is_so() -> None:
    """The sentences under "why they differ" that name a side or a span."""
    assert max(off("lamp-cable")) < 0
    assert min(off("vacuum") + off("vacuum-bundle")) > 50
    thick, thin = off("vehicle-30", "120 mm²"), off("vehicle-30", "1 mm²,")
    assert thin[0] < 0 < thick[0]
    assert min(off("small-craft-metric", "to 60 °C")) > max(off("small-craft-metric", "to 70 °C"))
    at_105 = subjects()["single-105"].rows
    gauges = {row.what.split()[1]: row.values.difference_percent for row in at_105[:8]}
    assert all(abs(gauges[awg]) < 10 for awg in ("14", "12", "10", "8", "6"))
    assert all(gauges[awg] > 20 for awg in ("22", "20", "18"))
    assert max(off("bundle", " 20 % loaded")[:-1]) < 0
    assert min(off("bundle", "19 wires, 100 % loaded")) > 0


def test_the_misses_of_the_small_craft_table_are_the_ones_named() -> None:
    far = [row.what for row in subjects()["small-craft"].rows if row.values.difference_percent > 15]
    assert far
    for what in far:
        assert what.split()[1] in ("14", "12", "10")
        assert what.endswith(("to 75 °C", "to 80 °C"))


def test_thick_and_thin_cable_grow_as_said() -> None:
    """Section to the power 0.61 in the list and 0.65 in ours, from 1 to 120 mm²."""
    rows = subjects()["vehicle-30"].rows
    first, last = rows[0].values, rows[-1].values
    assert log(last.published / first.published) / log(120) == pytest.approx(0.61, abs=0.01)
    assert log(last.computed / first.computed) / log(120) == pytest.approx(0.65, abs=0.01)


def test_looked_up_values_differ_by_rounding_alone() -> None:
    for slug in ("resistance", "resistance-stranded", "resistance-vehicle", "cutting"):
        assert abs(subjects()[slug].spread.worst) < 1e-9
    for slug in ("resistance-solid", "crimps", "adiabatic", "resistance-temperature"):
        assert subjects()[slug].share_within == 1


def test_the_curves_pass_one_and_fall() -> None:
    curves = method.bundle_curves()
    assert [curve.loaded_percent for curve in curves] == [20, 40, 60, 80, 100]
    for curve in curves:
        factors = [factor for _, factor in curve.computed]
        assert factors[0] == 1
        assert factors == sorted(factors, reverse=True)
    assert sum(len(curve.published) for curve in curves) == len(table("bundle_derating_points"))


def test_figures_follow_the_published_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """They are worked out from the files, not kept."""
    folder_there = tmp_path / "published"
    folder_there.mkdir()
    text = (PUBLISHED / "ac4313_voltage_drop_examples.csv").read_text(encoding="utf-8")
    (folder_there / "ac4313_voltage_drop_examples.csv").write_text(
        text.replace("11-7 1 V,1,107,32.61,20,6,0.00044,0.942", "11-7 1 V,1,107,32.61,20,6,0,1.0"),
        encoding="utf-8",
    )
    monkeypatch.setattr(reading, "folder", lambda _name: tmp_path)
    first = looked_up._drops().rows[0].values
    assert first.published == 1.0
    assert first.computed == pytest.approx(0.9416)
