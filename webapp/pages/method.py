"""The Method page: what is computed held against what is published, as tables and plots."""

from functools import lru_cache
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.drawings.ink import SOFT
from webapp.drawings.plot import Axis, Mark, Series, plot_svg
from webapp.pages.calculators.answer import about
from webapp.pages.render import render
from webapp.pages.wording import plural
from webapp.stages import method
from webapp.stages.design.findings import SUBJECTS
from webapp.stages.method import Curve, Subject

router = APIRouter()
ROOM = 1.25
NO_NAME = ""
# Less than the last printed digit of any table.
NOTHING = 5e-5


@router.get("/method")
def show(request: Request) -> Response:
    circles = method.circles() if method.circles_are_built() else None
    return render(
        request,
        "method/show.html",
        chapters=method.chapters(),
        subjects=SUBJECTS,
        circles=circles,
        constants=method.FITTED,
        reached=method.unstated_currents(),
        reached_ambient_c=method.UNSTATED_AMBIENT_C,
        **_words(),
    )


@router.get("/method/circles")
def show_circles(request: Request) -> Response:
    """The one table that takes seconds; the page asks for it once it stands."""
    return render(
        request,
        "method/circles.html",
        part="method/_circles.html",
        circles=method.circles(),
        **_words(),
    )


def _words() -> dict[str, Any]:
    return {
        "about": about,
        "off": off,
        "difference": difference,
        "spread": spread,
        "limit": limit,
        "summary": summary,
        "plot": plot,
        "plot_key": plot_key,
    }


def signed(value: float, figures: int = 2) -> str:
    """+3.1, −114, 0: so many figures, and all before the point."""
    if abs(value) < NOTHING:
        return "0"
    size = about(abs(value), max(figures, len(f"{abs(value):.0f}")))
    return f"{'+' if value > 0 else '−'}{size}"


def off(subject: Subject, value: float) -> str:
    """A difference as its subject counts it: in per cent, or in the unit."""
    return f"{signed(value)}\u00a0%" if subject.by_percent else f"{value:+.3f}".replace("-", "−")


def difference(value: float) -> str:
    return signed(value, 3)


def spread(subject: Subject, value: float) -> str:
    """A size without sign, as its subject counts it."""
    return off(subject, value).lstrip("+−")


def summary(subject: Subject) -> str:
    """The sentence that stands above a table."""
    read = sum(row.read for row in subject.rows)
    count = plural(len(subject.rows), "value")
    begin = f"{count}, {'all' if read == len(subject.rows) else read or 'none'} of them read"
    if abs(subject.spread.worst) < NOTHING:
        return f"{begin}; no difference."
    side = "above" if subject.spread.mean > 0 else "below"
    return (
        f"{begin}: root mean square {spread(subject, subject.spread.rms)}, "
        f"worst {off(subject, subject.spread.worst)} ({subject.worst.what}), "
        f"{100 * subject.share_within:.0f}\u00a0% within {limit(subject)}; "
        f"on the whole ours lies {spread(subject, subject.spread.mean)} {side}."
    )


def limit(subject: Subject) -> str:
    """The difference that the share is counted by."""
    return f"{about(subject.within)}\u00a0%" if subject.by_percent else about(subject.within)


@lru_cache(maxsize=32)
def _plot(slug: str) -> str:
    if slug == "bundle":
        return _bundle_plot()
    return _plot_of_currents(slug)


def plot(subject: Subject) -> str:
    """The drawing of a subject; empty where a table says it all."""
    drawn = subject.slug == "bundle" or (subject.unit == "A" and len(subject.rows) > 3)
    return _plot(subject.slug) if drawn else ""


def plot_key(subject: Subject) -> str:
    """What the lines and rings of its drawing are."""
    if subject.slug == "bundle":
        return f"Lines: computed, AWG {method.CURVE_AWG}. Rings: published."
    return f"A ring for each row. Solid line: as published; dotted: ±{limit(subject)}."


def _subject(slug: str) -> Subject:
    return next(
        each for chapter in method.chapters() for each in chapter.subjects if each.slug == slug
    )


def _plot_of_currents(slug: str) -> str:
    """Computed against published, both logarithmic, between lines of the limit."""
    subject = _subject(slug)
    values = [(row.values.published, row.values.computed) for row in subject.rows]
    low = min(min(pair) for pair in values) / ROOM
    high = max(max(pair) for pair in values) * ROOM
    share = subject.within / 100
    series = [_ratio(1, low, high)]
    series += [_ratio(ratio, low, high, "3 4") for ratio in (1 - share, 1 + share)]
    return plot_svg(
        f"{subject.title}: computed against published current",
        Axis("published, A", low, high, log=True),
        Axis("computed, A", low, high, log=True),
        series,
        marks=[Mark(x, y, NO_NAME) for x, y in values],
        width=470,
        height=360,
    )


def _ratio(ratio: float, low: float, high: float, dash: str = "") -> Series:
    """Where the computed value is `ratio` times the published one, within the axes."""
    ends = (max(low, low / ratio), min(high, high / ratio))
    return Series(NO_NAME, [(x, ratio * x) for x in ends], SOFT, dash)


def _bundle_plot() -> str:
    """Our curves for one gauge, a line for each loading, with the published points as rings."""
    curves = method.bundle_curves()
    return plot_svg(
        f"Bundle factor by the number of wires: AWG {method.CURVE_AWG}, and the published points",
        Axis("wires together", 0, 36),
        Axis("share of the current that a wire alone carries", 0.2, 1),
        [_loading(each, lowest=each is curves[-1]) for each in curves],
        marks=[Mark(x, y, NO_NAME) for each in curves for x, y in each.published],
        width=760,
        height=440,
    )


def _loading(curve: Curve, lowest: bool) -> Series:
    return Series(f"{curve.loaded_percent:g} % loaded", curve.computed, name_below=lowest)
