"""The wires of a design as rows: one group of rows for each link, one row for each of its wires."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

from markupsafe import Markup

from webapp.pages.planned_wire import planned_wire
from webapp.pages.wording import mm, number, with_unit
from webapp.sizing.colours import colour_letters, colour_names
from webapp.sizing.conductors import awg_label, nearest_awg, resistance_mohm_per_m
from webapp.sizing.reasons import Reason, SizingError
from webapp.sizing.voltage_drop import voltage_drop
from webapp.stages.building.wire_colours import letters
from webapp.stages.design.accepted import Answered
from webapp.stages.design.cables import SCREEN, laid_words
from webapp.stages.design.editing.renumbering import ordered
from webapp.stages.design.figures import Figures, WireFigures
from webapp.stages.design.findings import Finding, View, findings_of
from webapp.stages.design.fused import UNFUSED
from webapp.stages.design.rows import Link
from webapp.stages.design.wires import Wire

DRAWING_PX = 230
# What the rows may be sorted by, as it stands in the address.
ORDERS = ("number", "circuit", "place", "length", "section")


Answering = Callable[[Iterable[Finding]], list[Answered]]


def as_they_are(found: Iterable[Finding]) -> list[Answered]:
    """Findings to which nobody has answered."""
    return [Answered(finding) for finding in found]


@dataclass(frozen=True)
class WireLine:
    """One wire of a link."""

    segment: int
    number: str
    letter: str
    svg: Markup
    from_words: str
    to_words: str
    length: str
    by_hand: bool


@dataclass(frozen=True)
class LinkRow:
    """One link: its wires, and its figures, which all of them share."""

    uid: str
    number: int
    main: str
    tracer: str
    letters: str
    csa: str
    awg: str
    circuit: str
    circuit_uid: str
    note: str
    laid: str
    amps: str
    temperature: str
    drop: str
    lines: tuple[WireLine, ...]
    findings: tuple[Answered, ...]

    @property
    def id(self) -> str:
        return f"wire-{self.uid}"

    @property
    def typed(self) -> tuple[object, ...]:
        """All but the figures and findings, which may change while another wire is edited."""
        colours = (self.main, self.tracer, self.letters)
        return (self.number, *colours, self.csa, self.circuit, self.note, self.laid, self.lines)


@dataclass(frozen=True)
class Why:
    """A wire's size in words, and the steps that lead to its figures."""

    title: str
    words: str
    reasons: tuple[Reason, ...]


class WireTable:
    """Everything is worked out once for a request; without `bundles` but for the findings that pack
    them, which are about runs and not about wires.
    """

    def __init__(
        self, view: View, answer: Answering = as_they_are, *, bundles: bool = True
    ) -> None:
        self.view = view
        self._bundles = bundles
        self.design = view.design
        self._answer = answer

    @property
    def figures(self) -> Figures:
        return self.view.figures

    @cached_property
    def findings(self) -> dict[tuple[str, str], list[Answered]]:
        """Findings by the table and uid of the row under which they stand."""
        found: dict[tuple[str, str], list[Answered]] = {}
        for each in self._answer(findings_of(self.view, bundles=self._bundles)):
            found.setdefault((each.finding.table, each.finding.uid), []).append(each)
        return found

    @property
    def others(self) -> list[Answered]:
        """Findings about what has no row on the pages of wires, fittings and circuits."""
        found: list[Answered] = []
        for (table, _), some in self.findings.items():
            if table not in ("wire", "fitting", "circuit"):
                found += some
        return found

    @cached_property
    def rows(self) -> dict[str, LinkRow]:
        """The rows by the links' uids, in the order of their numbers."""
        return {uid: self._row(found) for uid, found in self.view.wires_of.items()}

    def _row(self, found: list[Wire]) -> LinkRow:
        link = found[0].link
        figures = self.figures.wire(link.uid)
        code = self.design.basis.colour_code
        return LinkRow(
            uid=link.uid,
            number=link.number,
            main=letter_of(code, link.main),
            tracer=letter_of(code, link.tracer),
            letters=letters(self.design, link),
            csa="" if link.csa_mm2 is None else f"{link.csa_mm2:g}",
            awg="" if link.csa_mm2 is None else f"about AWG {awg_label(nearest_awg(link.csa_mm2))}",
            circuit=self.design.circuit[link.circuit_uid].name,
            circuit_uid=link.circuit_uid,
            note=link.note,
            laid=laid_words(self.design, link),
            amps=number(figures.heat_a, 1),
            temperature=_or_dash(figures.temperature_c, 0),
            drop=_or_dash(figures.drop_percent, 1),
            lines=tuple(self._line(wire, len(found)) for wire in found),
            findings=tuple(self.findings.get(("wire", link.uid), ())),
        )

    def _line(self, wire: Wire, of: int) -> WireLine:
        return WireLine(
            segment=wire.segment,
            number=wire.number,
            letter=wire.number.removeprefix(str(wire.link.number)) if of > 1 else "",
            svg=planned_wire(self.design, wire, DRAWING_PX),
            from_words=self._end_words(wire, wire.left.way_uid, wire.left.made.loose_mm),
            to_words=self._end_words(wire, wire.right.way_uid, wire.right.made.loose_mm),
            length="" if wire.length_mm is None else mm(wire.length_mm),
            by_hand=str(wire.segment) in wire.link.lengths_mm,
        )

    def _end_words(self, wire: Wire, way_uid: str | None, loose_mm: int | None) -> str:
        if way_uid is not None:
            return self.design.way_name(way_uid)
        if wire.link.core == SCREEN:
            return "cut back and sleeved"
        return f"left loose, {with_unit(loose_mm)}" if loose_mm else "left loose"

    def found(self, text: str) -> list[LinkRow]:
        """The rows that have every word of `text`: number, colour, fitting, circuit; and what the
        words “findings”, “not measured” and “by hand” ask for."""
        rest = " ".join(text.casefold().split())
        rows = list(self.rows.values())
        for words, so in self._states.items():
            if words in rest:
                rest = rest.replace(words, " ")
                rows = [row for row in rows if so(row)]
        return [row for row in rows if _has(self._haystack(row), rest.split())]

    @property
    def _states(self) -> dict[str, Callable[[LinkRow], bool]]:
        return {
            "not measured": lambda row: any(not line.length for line in row.lines),
            "by hand": lambda row: bool(self.design.link[row.uid].by_hand),
            "findings": lambda row: any(each.accepted is None for each in row.findings),
        }

    def sorted(self, rows: Iterable[LinkRow], order: str) -> list[LinkRow]:
        """Rows by number, circuit, place, length or section."""
        links = {row.uid: row for row in rows}
        if order == "length":
            return sorted(links.values(), key=self._length_mm)
        if order == "section":
            csa = self.design.link
            return sorted(links.values(), key=lambda row: (csa[row.uid].csa_mm2 or 0.0, row.number))
        held = [self.design.link[uid] for uid in links]
        return [links[link.uid] for link in ordered(self.design, held, order)]

    def _length_mm(self, row: LinkRow) -> tuple[int, int]:
        wires = self.view.wires_of[row.uid]
        return sum(wire.length_mm or 0 for wire in wires), row.number

    def _haystack(self, row: LinkRow) -> list[str]:
        link = self.design.link[row.uid]
        ends = " ".join(f"{line.from_words} {line.to_words}" for line in row.lines)
        numbers = {str(row.number), *(line.number.casefold() for line in row.lines)}
        circuit = self.design.circuit[link.circuit_uid]
        rest = (
            f"{row.letters} {link.main} {link.tracer} {ends} {circuit.name} {row.note} {row.laid}"
        )
        return [*numbers, rest.casefold()]

    # Why

    def why(self, link: Link) -> Why:
        figures = self.figures.wire(link.uid)
        size = "no size yet" if link.csa_mm2 is None else f"{link.csa_mm2:g} mm²"
        return Why(size, " ".join(self._sentences(link, figures)), self._reasons(link, figures))

    def _sentences(self, link: Link, figures: WireFigures) -> Iterable[str]:
        state = f" with {figures.state} on" if figures.state else ""
        yield f"Carries {figures.heat_a:.3g} A{state}."
        yield self._fuse_words(link, figures)
        if figures.trouble:
            yield figures.trouble
        if figures.capacity is not None:
            around = figures.surroundings
            table, balance = figures.capacity.table, figures.capacity.balance
            yield (
                f"{link.csa_mm2:g} mm² stands {figures.capacity.current_a:.3g} A where it is "
                f"worst off (table {table.current_a:.3g} A, heat balance "
                f"{balance.current_a:.3g} A): {around.where}, {around.ambient_c:g} °C around it"
                + (f", {around.wires} wires together" if around.wires > 1 else "")
                + f"; about {_or_dash(figures.temperature_c, 0)} °C, and its insulation stands "
                f"{self.design.basis.limit_c:g} °C."
            )
        if figures.drop_v is not None:
            yield (
                f"{figures.drop_v:.2g} V are lost along it at {figures.drop_a:.3g} A, "
                f"{_or_dash(figures.drop_percent, 1)} % of {self.design.basis.drop_at_v:g} V."
            )

    def _fuse_words(self, link: Link, figures: WireFigures) -> str:
        if link.starter_cable:
            return "A starter cable has no fuse-link: the only one for which that holds."
        if figures.fuse_a is None:
            return "No fuse-link and no load lies in its path."
        if figures.fuse_a == UNFUSED:
            return (
                f"No fuse-link stands before it; it must stand {figures.needed_a:.3g} A, as the "
                f"fuse-links ask that it leads to."
            )
        return (
            f"Behind {figures.fuse_a:g} A of fuse-links, so it must stand {figures.needed_a:.3g} A "
            f"for ever."
        )

    def _reasons(self, link: Link, figures: WireFigures) -> tuple[Reason, ...]:
        conductor = self.figures.conductor(link)
        length_mm = self.figures.circuitry.lengths_mm.get(link.uid)
        if conductor is None or not length_mm:
            return figures.reasons
        limit_c = self.design.basis.limit_c
        at_c = min(limit_c, figures.temperature_c or limit_c)
        try:
            drop = voltage_drop(
                conductor,
                current_a=figures.drop_a,
                length_m=length_mm / 1000,
                temperature_c=at_c,
                system_voltage_v=self.design.basis.drop_at_v,
            ).reasons
        except SizingError:
            drop = resistance_mohm_per_m(conductor, limit_c).reasons
        return (*figures.reasons, *drop)


def _has(haystack: list[str], words: list[str]) -> bool:
    *numbers, rest = haystack
    return all(word in numbers or (not word.isdigit() and word in rest) for word in words)


def letter_of(code: str, colour: str) -> str:
    """A colour's letters in the code; as it is where the code has none."""
    if not colour:
        return ""
    try:
        return colour_letters(code, colour)
    except SizingError:
        return colour


def colours_on_offer(code: str) -> list[tuple[str, str]]:
    """Letters and name of each colour of the code."""
    return [(colour_letters(code, name), name) for name in colour_names(code)]


def _or_dash(value: float | None, places: int) -> str:
    return "–" if value is None else number(value, places)


def reason_formula(reason: Reason) -> str:
    """The formula with what stands in it: a × b = 3.2 A."""
    if not reason.formula:
        return ""
    inputs = ", ".join(f"{name} {value:.4g}" for name, value in reason.inputs.items())
    return f"{reason.name} = {reason.formula}, with {inputs}"
