"""The drawings of a bench page: plain pieces of wire and plug faces, each defined once."""

from collections.abc import Mapping, Sequence
from functools import cached_property

from markupsafe import Markup

from webapp.drawings.plug_face import FaceWay, columns_for, face_symbol, marked_face_svg
from webapp.drawings.shapes import used
from webapp.drawings.wire import piece_symbol
from webapp.pages.plug_faces import face_ways
from webapp.stages.building import wire_colours
from webapp.stages.building.steps import WireWork, WorkPlan
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import Wire

PIECE_W, PIECE_H = 96.0, 20.0
# Wires are pushed in from behind.
LOADED_SIDE = "wire"


class Drawings:
    """Draws by reference; `defined` is what stands once on the page."""

    def __init__(self, design: Design, plan: WorkPlan) -> None:
        self._design = design
        self._wires = [work.wire for work in plan.wires]
        self._pieces: dict[tuple[str, str | None, float], str] = {}
        self._faces: dict[str, str] = {}
        self._symbols: list[str] = []

    @property
    def defined(self) -> Markup:
        return Markup("".join(self._symbols))

    def piece(self, work: WireWork) -> Markup:
        """A short piece of the wire."""
        link = work.wire.link
        look = (
            wire_colours.main_rgb(self._design, link),
            wire_colours.tracer_rgb(self._design, link),
            link.csa_mm2 or 1.0,
        )
        if look not in self._pieces:
            self._pieces[look] = uid = f"wire-{len(self._pieces) + 1}"
            self._symbols.append(piece_symbol(uid, look[0], look[1], PIECE_W, PIECE_H, look[2]))
        return Markup(used(self._pieces[look], PIECE_W, PIECE_H, "piece"))

    def face(self, fitting_uid: str, way_uid: str | None) -> Markup:
        """A plug or socket half from the side that is loaded, with one way marked."""
        ways = self._design.ways_of[fitting_uid]
        marked = next((n for n, way in enumerate(ways) if way.uid == way_uid), None)
        half = self._design.fitting[fitting_uid]
        drawn = face_ways(self._design, half, self._on_way)
        columns, socket = columns_for(len(ways)), half.kind == "socket"
        if fitting_uid not in self._faces:
            self._faces[fitting_uid] = uid = f"face-{len(self._faces) + 1}"
            self._symbols.append(_symbol(uid, drawn, columns, socket=socket))
        return Markup(
            marked_face_svg(
                self._faces[fitting_uid], half.name, drawn, columns, socket=socket,
                side=LOADED_SIDE, marked=marked,
            )
        )  # fmt: skip

    @cached_property
    def _on_way(self) -> Mapping[str, Sequence[Wire]]:
        found: dict[str, list[Wire]] = {}
        for wire in self._wires:
            for end in wire.ends:
                if end.way_uid:
                    found.setdefault(end.way_uid, []).append(wire)
        return found


def _symbol(uid: str, ways: Sequence[FaceWay], columns: int, *, socket: bool) -> str:
    return face_symbol(uid, ways, columns, socket=socket, side=LOADED_SIDE)
