"""Two small screens over the frame, to try its scripts without the app's own pages."""

import time
from dataclasses import dataclass, field
from pathlib import Path

from fastapi import APIRouter
from jinja2 import FileSystemLoader
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep
from webapp.pages.forms import Form
from webapp.pages.render import redirect, render

LOADER = FileSystemLoader(Path(__file__).parent)


@dataclass
class Wire:
    number: int
    length_mm: int
    name: str = "feed"
    wall: str = "thin"
    typed: str | None = None
    error: str = ""


@dataclass
class Workbench:
    """What the sample screens keep."""

    wires: dict[int, Wire] = field(
        default_factory=lambda: {n: Wire(n, 1000 * n) for n in (1, 2, 3)}
    )
    kept: list[str] = field(default_factory=list)
    once: list[str] = field(default_factory=list)
    pause_s: float = 0.0


def sample_router(bench: Workbench) -> APIRouter:
    router = APIRouter(prefix="/sample")

    @router.get("/wires")
    def wires(request: Request) -> Response:
        return render(request, "wires.html", wires=bench.wires.values())

    @router.post("/wires/{number}")
    def change_wire(number: int, request: Request, fields: FieldsDep) -> Response:
        time.sleep(bench.pause_s)
        wire = bench.wires[number]
        bench.kept.append(f"{fields['field']}: {fields['seen']} -> {fields['value']}")
        if fields["field"] == "length_mm":
            form = Form(fields)
            form.mm("value", "Length", least=10)
            if form.errors:
                shown = Wire(number, wire.length_mm, wire.name, wire.wall)
                shown.typed, shown.error = fields["value"], form.error("value")
                return render(request, "wires.html", part="_wire.html", status=422, w=shown)
            wire.length_mm = form.values["value"]
        else:
            setattr(wire, fields["field"], fields["value"])
        return render(request, "wires.html", part="_wire.html", w=wire)

    @router.get("/needs")
    def needs(request: Request) -> Response:
        return render(request, "needs.html", form=Form(), kept=bench.kept)

    @router.post("/needs")
    def add_needs(request: Request, fields: FieldsDep) -> Response:
        time.sleep(bench.pause_s)
        form = Form(fields)
        form.text("title", "Title", most=20)
        rows = form.rows("rows")
        for row in rows:
            row.text("name", "What")
            row.whole("count", "How many", least=1)
            row.choice("control", "Control", ["switch", "relay"], needed=False)
        if form.errors:
            return render(request, "needs.html", status=422, form=form, kept=bench.kept)
        bench.once.append(fields["once"])
        for row in rows:
            control = row.values["control"] or "no control"
            bench.kept.append(f"{row.values['count']} {row.values['name']}, {control}")
        return redirect("/sample/needs", notice="Needs saved.")

    return router
