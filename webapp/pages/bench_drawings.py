"""The drawings of a bench page: plain pieces of wire and plug faces, each defined once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from markupsafe import Markup

from webapp.drawings.plug_face import (
    FaceWay,
    columns_for,
    face_symbol,
    marked_face_svg,
    pointing_face_svg,
)
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


@dataclass(frozen=True)
class _Face:
    uid: str
    name: str
    ways: list[FaceWay]
    way_uids: list[str]
    columns: int
    socket: bool


class Drawings:
    """Draws by reference; `defined` is what stands once on the page."""

    def __init__(self, design: Design, plan: WorkPlan) -> None:
        self._design = design
        self._wires = [work.wire for work in plan.wires]
        self._pieces: dict[tuple[str, str | None, float], Markup] = {}
        self._faces: dict[str, _Face] = {}
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
            uid = f"wire-{len(self._pieces) + 1}"
            self._symbols.append(piece_symbol(uid, look[0], look[1], PIECE_W, PIECE_H, look[2]))
            self._pieces[look] = Markup(used(uid, PIECE_W, PIECE_H, "piece"))
        return self._pieces[look]

    def face(self, fitting_uid: str, way_uid: str) -> Markup:
        """A plug or socket half from the side that is loaded, with one way marked."""
        face = self._face(fitting_uid)
        marked = face.way_uids.index(way_uid)
        return Markup(
            marked_face_svg(
                face.uid, face.name, face.ways, face.columns, socket=face.socket, side=LOADED_SIDE,
                marked=marked,
            )
        )  # fmt: skip

    def turning_face(self, fitting_uid: str, way_uid: str | None) -> Markup:
        """The same, where the mark turns to the way that is next."""
        face = self._face(fitting_uid)
        return Markup(
            pointing_face_svg(
                face.uid, face.name, face.ways, face.columns, socket=face.socket, side=LOADED_SIDE,
                marks=face.way_uids, now=way_uid,
            )
        )  # fmt: skip

    def _face(self, fitting_uid: str) -> "_Face":
        if fitting_uid not in self._faces:
            half = self._design.fitting[fitting_uid]
            way_uids = [way.uid for way in self._design.ways_of[fitting_uid]]
            ways = face_ways(self._design, half, self._on_way)
            face = _Face(
                f"face-{len(self._faces) + 1}", half.name, ways, way_uids,
                columns_for(len(ways)), half.kind == "socket",
            )  # fmt: skip
            self._faces[fitting_uid] = face
            self._symbols.append(
                face_symbol(face.uid, ways, face.columns, socket=face.socket, side=LOADED_SIDE)
            )
        return self._faces[fitting_uid]

    @cached_property
    def _on_way(self) -> Mapping[str, Sequence[Wire]]:
        found: dict[str, list[Wire]] = {}
        for wire in self._wires:
            for end in wire.ends:
                if end.way_uid:
                    found.setdefault(end.way_uid, []).append(wire)
        return found
