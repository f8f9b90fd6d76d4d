"""Test: the items of one unit, kind by kind, typed through with Enter; and the gate to done."""

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.crimp_forms import address_of
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.editing import attempt
from webapp.pages.forms import Form
from webapp.pages.instruments import in_use
from webapp.pages.loom_frame import loom_frame
from webapp.pages.render import redirect, render
from webapp.pages.unit_frame import unit_frame
from webapp.pages.wording import plural
from webapp.stages.building import units
from webapp.stages.building.units import UnitRow
from webapp.stages.refusals import Refused
from webapp.stages.testing import gate, readings, standing
from webapp.stages.testing.items import FOUR_WIRE, LOADED_DROP
from webapp.stages.testing.plan import TEST_CURRENT_A, TestPlan
from webapp.stages.testing.readings import LEAST_A, MOST_A, Measured
from webapp.stages.testing.standing import ItemState

router = APIRouter()


@dataclass(frozen=True)
class Part:
    """Kinds of test that are made in one go, with how it is done."""

    slug: str
    title: str
    kinds: tuple[str, ...]
    how: str


PARTS = (
    Part(
        "first-off",
        "First-off crimps",
        ("crimp height", "crimp pull"),
        "On spare pieces, before crimping and again after a change of tool, die, wire or terminal "
        "lot. They are entered with their set-up and hold for every unit that is crimped with it.",
    ),
    Part(
        "continuity",
        "Continuity",
        ("continuity",),
        "Each wire end to end, and no other way answers. Passing a whole circuit says that every "
        "wire of it was tried.",
    ),
    Part(
        "isolation",
        "Isolation",
        ("isolation",),
        "Electronics and loads unplugged, fuse-links out, switches on. Do not touch the loom "
        "while the test voltage is on.",
    ),
    Part(
        "resistance",
        "Resistance",
        ("resistance",),
        "End to end, terminal to terminal, at about 20 °C: four-wire, or the drop at a test "
        "current.",
    ),
    Part(
        "polarity",
        "Polarity",
        ("polarity",),
        "At each load's own terminals or leads, the load unplugged.",
    ),
    Part(
        "function",
        "Function",
        ("function",),
        "From a current-limited supply, with dummy loads; they get hot.",
    ),
)
BY_SLUG = {part.slug: part for part in PARTS}


@dataclass(frozen=True)
class Tab:
    part: Part
    passed: int
    total: int


@dataclass(frozen=True)
class ItemRow:
    """An item with its fields; `number` is its place in the plan and names the fields."""

    number: int
    state: ItemState
    fields: Form


@router.get("/looms/{loom_id}/test")
def show_loom(request: Request, session: ReadSession, loom_id: int) -> Response:
    frame = loom_frame(session, loom_id)
    found = []
    for unit in units.of_loom(session, loom_id):
        states = standing.states(session, unit, standing.plan_of(session, unit))
        passed = sum(1 for one in states if one.word == "passed")
        failed = sum(1 for one in states if one.word == "failed")
        found.append((unit, passed, failed, len(states)))
    return render(request, "testing/loom.html", frame=frame, units=found)


@router.get("/units/{unit_id}/test")
def show(
    request: Request,
    session: ReadSession,
    unit_id: int,
    part: str = "",
    instrument: str = "",
    method: str = FOUR_WIRE,
    current_a: str = "",
) -> Response:
    """`instrument`, `method` and `current_a` are what the last readings were taken with."""
    form = Form({"instrument": instrument, "method": method, "current_a": current_a})
    read_with(session, form)
    return unit_page(request, session, unit_id, part, form)


def read_with(session: Session, form: Form) -> None:
    """What the readings are taken with."""
    form.choice("instrument", "The instrument", dict(in_use(session)), needed=False)
    form.choice("method", "The method", (FOUR_WIRE, LOADED_DROP), needed=False)
    form.number("current_a", "The test current", unit="A", least=LEAST_A, most=MOST_A, needed=False)


def unit_page(request: Request, session: Session, unit_id: int, slug: str, form: Form) -> Response:
    frame = unit_frame(session, unit_id)
    plan = standing.plan_of(session, frame.unit)
    states = standing.states(session, frame.unit, plan)
    tabs = [_tab(part, states) for part in PARTS]
    here = BY_SLUG.get(slug) or _first_open(tabs)
    rows = [
        ItemRow(number, one, Form(form.fields, prefix=f"rows-{number}-", errors=form.errors))
        for number, one in enumerate(states)
        if one.item.kind in here.kinds
    ]
    return render(
        request,
        "testing/unit.html",
        status=422 if form.errors else 200,
        frame=frame.loom,
        at=frame,
        unit=frame.unit,
        form=form,
        kinds=tabs,
        here=here,
        groups=_grouped(rows),
        next_open=_next_open(rows),
        instruments=in_use(session),
        methods=(FOUR_WIRE, LOADED_DROP),
        method=form.typed("method") if here.slug == "resistance" else "",
        current_a=form.values.get("current_a") or TEST_CURRENT_A,
        gaps=gate.gaps(states) + gate.crimp_gaps(session, frame.unit),
        takes=frame.unit.stage == "test" and here.slug != "first-off",
        address_of=address_of,
    )


def _tab(part: Part, states: Sequence[ItemState]) -> Tab:
    own = [one for one in states if one.item.kind in part.kinds]
    return Tab(part, sum(1 for one in own if one.word == "passed"), len(own))


def _first_open(tabs: Sequence[Tab]) -> Part:
    return next((tab.part for tab in tabs if tab.passed < tab.total), tabs[0].part)


def _grouped(rows: Sequence[ItemRow]) -> dict[str, list[ItemRow]]:
    found: dict[str, list[ItemRow]] = {}
    for row in rows:
        found.setdefault(row.state.item.group, []).append(row)
    return found


def _next_open(rows: Sequence[ItemRow]) -> int | None:
    """Where to type next: what has no reading yet, then what failed."""
    left = [row for row in rows if row.state.word != "passed"]
    return min(left, key=lambda row: row.state.word == "failed").number if left else None


@router.post("/units/{unit_id}/test")
def take(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    unit_id: int,
    part: str = "",
) -> Response:
    """Every row that has something typed, all together; or none, where one is refused."""
    unit = units.row(session, unit_id)
    form = Form(fields)
    read_with(session, form)
    plan = standing.plan_of(session, unit)
    warnings = dict.fromkeys(_record_rows(session, unit, plan, form, person.id))
    if not form.errors and not form.values.get("taken"):
        form.refuse("", "Nothing was entered: type a value or choose pass or fail in some row.")
    if form.errors:
        return unit_page(request, session, unit_id, part, form)
    words = [f"{plural(form.values['taken'], 'reading')} taken.", *filter(None, warnings)]
    return redirect(_onward(unit_id, part, form), notice=" ".join(words))


def _onward(unit_id: int, part: str, form: Form) -> str:
    """The same page, with the same instrument and method chosen."""
    kept = {"part": part}
    kept |= {name: form.typed(name) for name in ("instrument", "method", "current_a")}
    chosen = {name: value for name, value in kept.items() if value}
    return f"/units/{unit_id}/test?{urlencode(chosen)}#next"


def _record_rows(
    session: Session, unit: UnitRow, plan: TestPlan, form: Form, person_id: int
) -> list[str]:
    """Records each row and returns the warnings; errors land beside their rows."""
    warnings = []
    for row in form.rows("rows", ignore=("uid", "key")):
        row.number("value", "The reading", needed=False)
        row.choice("verdict", "The result", readings.VERDICTS, needed=False)
        row.text("note", "The note", most=500, needed=False)
        if row.errors and not row.ok:
            continue
        instrument = form.values.get("instrument")
        item = plan.by_uid.get(row.typed("uid"))
        drop = item is not None and item.methods
        measured = Measured(
            item_uid=row.typed("uid"),
            value=row.values["value"],
            verdict=row.values["verdict"] or "",
            method=(form.values.get("method") or "") if drop else "",
            current_a=form.values.get("current_a") if drop else None,
            note=row.values["note"],
        )
        try:
            warnings.append(
                readings.record(
                    session,
                    unit.id,
                    measured,
                    key=row.typed("key"),
                    person_id=person_id,
                    instrument_id=int(instrument) if instrument else None,
                    plan=plan,
                )
            )
        except Refused as refused:
            _place_refusal(form, row, refused)
    form.values["taken"] = len(warnings)
    return warnings


def _place_refusal(form: Form, row: Form, refused: Refused) -> None:
    """Beside the row's own field, or beside the field of the whole page that it concerns."""
    if refused.field in ("instrument", "method", "current_a"):
        form.refuse(refused.field, refused.sentence)
    else:
        field = refused.field if refused.field in ("value", "verdict", "note") else "value"
        row.refuse(field, refused.sentence)


@router.post("/units/{unit_id}/test/circuit")
def pass_circuit(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, unit_id: int
) -> Response:
    """Continuity of a whole circuit, as a deliberate act."""
    form = Form(fields)
    form.choice("instrument", "The instrument", dict(in_use(session)), needed=False)
    taken = 0
    if not form.errors:
        with attempt(session, form):
            instrument = form.values.get("instrument")
            taken = readings.pass_circuit(
                session,
                unit_id,
                fields.get("circuit", ""),
                key=fields.get("once", ""),
                person_id=person.id,
                instrument_id=int(instrument) if instrument else None,
            )
    if form.errors:
        return unit_page(request, session, unit_id, "continuity", form)
    notice = f"{plural(taken, 'reading')} taken for {fields.get('circuit', '')}."
    return redirect(_onward(unit_id, "continuity", form), notice=notice)


@router.post("/units/{unit_id}/test/stage")
def move(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, unit_id: int
) -> Response:
    """Pass the unit to done, or send a done one back to test."""
    form = Form(fields)
    unit = units.row(session, unit_id)
    form.choice("act", "What to do", ("pass", "back"))
    form.text("reason", "The reason", most=400, needed=fields.get("act") == "back")
    if not form.errors:
        with attempt(session, form):
            if form.values["act"] == "pass":
                gate.pass_to_done(session, unit_id, person.id)
            else:
                units.send_back(session, unit_id, "test", form.values["reason"], person.id)
    if form.errors:
        return unit_page(request, session, unit_id, "", form)
    if form.values["act"] == "pass":
        return redirect(f"/units/{unit_id}/done", notice=f"Unit {unit.serial} is done.")
    return redirect(f"/units/{unit_id}/test", notice=f"Unit {unit.serial} is back at test.")
