"""The drawings, called with the papers' own values."""

from webapp.drawings.ends import EndState
from webapp.drawings.plan import least_width, plan_svg
from webapp.drawings.plug_face import FaceWay, plug_face_svg
from webapp.drawings.qr import qr_svg
from webapp.drawings.wire import wire_svg

from .values import BenchWire, PaperFitting, PaperWire, Plan

PLAN_PX = 680
WIDE_PLAN_PX = 1050
ACCENT = "#0d5463"
QR_PX = 76  # 20 mm


def wire(value: PaperWire, width: float = 150, height: float = 14) -> str:
    """The wire as it will be: both ends made."""
    return _wire(value, EndState.MADE, EndState.MADE, width, height)


def bench_wire(value: BenchWire) -> str:
    """The wire with its ends as the bench has them."""
    return _wire(value.wire, value.left_state, value.right_state, 220, 18)


def _wire(value: PaperWire, left: EndState, right: EndState, width: float, height: float) -> str:
    return wire_svg(
        value.main_hex,
        value.tracer_hex,
        left,
        right,
        width,
        height,
        value.csa_mm2,
        label=f"Wire {value.number} {value.letters} {value.size}",
    )


def rule() -> str:
    """The line under every heading: a wire with its two terminals."""
    made = EndState.CRIMPED
    return wire_svg(ACCENT, None, made, made, 672, 13, 2.5, label="Rule")


def band(main_hex: str, tracer_hex: str | None, csa_mm2: float, letters: str, width: float) -> str:
    """A piece of cable, plainly cut at both ends."""
    cut = EndState.CUT
    return wire_svg(main_hex, tracer_hex, cut, cut, width, 16, csa_mm2, label=f"Cable {letters}")


def plan(value: Plan) -> str:
    return plan_svg(value.places, value.runs, PLAN_PX)


def plan_is_wide(value: Plan) -> bool:
    """True for a plan whose words would be too small on an upright page."""
    return least_width(value.places, value.runs) > WIDE_PLAN_PX


def face(value: PaperFitting) -> str:
    ways = [
        FaceWay(way.number, way.wire_number, way.letters, way.main_hex, way.tracer_hex)
        for way in value.ways
    ]
    return plug_face_svg(value.name, ways, value.face_columns, socket=value.socket)


def qr(words: str) -> str:
    return qr_svg(words, QR_PX)
