"""The invented workshop's papers for an invented launch of 47 wires."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from webapp.drawings.ends import EndState
from webapp.drawings.plan import PlanPlace, PlanRun
from webapp.paper.values import (
    BenchBranch,
    BenchSheet,
    BenchStep,
    BenchWire,
    Certificate,
    CertificateGroup,
    CertificateRow,
    Cut,
    CutGroup,
    CutList,
    DesignSheet,
    HandOver,
    Head,
    Instrument,
    JobTicket,
    KitGroup,
    KitList,
    KitRow,
    PaperCircuit,
    PaperEnd,
    PaperFitting,
    PaperWay,
    PaperWire,
    Plan,
    Quote,
    QuoteLine,
    TestGroup,
    TestRow,
    TestSheet,
    Workshop,
)

QR_TEXT = "http://192.168.4.20:8000/go/u-26-041-02"
SHOP = Workshop(
    "Tern Lane Looms",
    ("Unit 4, The Ropewalk", "Wick Staithe"),
    "01632 960 417",
    "bench@ternlane.example",
    "GB 000 0000 00",
)
HEAD = Head(
    SHOP,
    "26-041",
    "Day launch, main loom",
    customer="Dunlin Day Boats",
    short_code="K7M4",
    qr_text=QR_TEXT,
    revision="B",
    printed_on=date(2026, 11, 9),
)
HEXES = {
    "B": "#26231f", "N": "#7a4a22", "R": "#c22a20", "O": "#e07a1f", "Y": "#efc52c", "G": "#2d7d3a",
    "U": "#2257a5", "P": "#6c3f8f", "S": "#85888b", "W": "#f7f5ee", "K": "#e9a0ab",
}  # fmt: skip
# number, (fitting, way, place) twice, colour letters, size, length
FIRST_WIRES = (
    ("Main fuse", "out", "battery box", "Fuse board", "feed", "helm", "R", 10, 3520),
    ("Fuse board", "1", "helm", "Helm switch 1", "in", "helm", "O", 1.5, 640),
    ("Helm switch 1", "out", "helm", "Bow lamp", "+", "bow", "S", 1.5, 3820),
    ("Helm switch 1", "out", "helm", "Stern lamp", "+", "transom", "SR", 1.5, 4520),
    ("Pump fuse", "out", "battery box", "Float switch", "in", "engine bay", "NR", 2.5, 1010),
    ("Float switch", "out", "engine bay", "Bilge pump", "+", "engine bay", "NW", 2.5, 410),
    ("Helm override", "out", "helm", "Bilge pump", "+", "engine bay", "NY", 2.5, 2610),
    ("Horn relay", "87", "helm", "Horn", "+", "foredeck", "OW", 2.5, 2510),
    ("Horn push", "out", "helm", "Horn relay", "85", "helm", "OB", 1, 380),
    ("Wiper switch", "out", "helm", "Roof plug", "2", "wheelhouse roof", "OU", 1.5, 2240),
    ("Searchlight relay", "87", "helm", "Roof plug", "3", "wheelhouse roof", "UW", 2.5, 2310),
    ("Accessory socket", "–", "helm", "Negative bar", "4", "helm", "Y", 4, 1950),
)


def wire(number: int) -> PaperWire:
    a, b, c, d, e, f, letters, size, length = FIRST_WIRES[(number - 1) % len(FIRST_WIRES)]
    terminal = "tab receptacle 6.3" if size < 4 else "ring M6, 10 mm²"
    return PaperWire(
        number=str(number),
        main_hex=HEXES[letters[0]],
        tracer_hex=HEXES[letters[1]] if len(letters) > 1 else None,
        letters=letters,
        size=f"{size:g} mm²",
        csa_mm2=size,
        length_mm=length,
        left=PaperEnd(c, a, b, terminal, 6.4),
        right=PaperEnd(f, d, e, terminal, 6.4),
        cable=f"thin-wall PVC {size:g} mm²",
        circuit=str(1 + number % 9),
    )


WIRES = tuple(wire(number) for number in range(1, 48))
PLAN = Plan(
    (
        PlanPlace("battery box", "battery box", "", ("Battery", "Main fuse", "Pump fuse")),
        PlanPlace("engine bay", "engine bay", "", ("Bilge pump", "Float switch", "Blower")),
        PlanPlace("bulkhead", "bulkhead"),
        PlanPlace("helm", "helm", "", ("Fuse board", "6 switches")),
        PlanPlace("cabin", "cabin", "load", ("2 cabin lamps",)),
        PlanPlace("roof", "wheelhouse roof", "plug", ("Roof plug", "Wiper")),
        PlanPlace("mast", "mast", "load", ("All-round white lamp",)),
        PlanPlace("foredeck", "foredeck", "load", ("Horn",)),
        PlanPlace("bow", "bow", "load", ("Bow lamp",)),
        PlanPlace("transom", "transom", "load", ("Stern lamp",)),
        PlanPlace("tank", "fuel tank", "load", ("Level sender",)),
    ),
    (
        PlanRun("battery box", "engine bay", 900, 22, "split conduit"),
        PlanRun("engine bay", "bulkhead", 700, 24, "split conduit"),
        PlanRun("bulkhead", "helm", 1800, 24, "spiral tape", "grommet"),
        PlanRun("helm", "cabin", 1600, 4, "PVC sleeve"),
        PlanRun("helm", "roof", 2100, 8, "PVC sleeve"),
        PlanRun("roof", "mast", 1500, 2, "PVC sleeve", "gland"),
        PlanRun("helm", "foredeck", 2400, 4, "PVC sleeve"),
        PlanRun("foredeck", "bow", 1300, 2, "PVC sleeve", "gland"),
        PlanRun("engine bay", "transom", 1900, 2, "split conduit", "grommet"),
        PlanRun("engine bay", "tank", 1100, 2, "split conduit"),
    ),
)
CIRCUITS = (
    PaperCircuit("1", "Bow and stern lamps", "3 A", "fuse board 1", "2, 3, 4",
                 "Lights the bow and stern lamps from helm switch 1."),
    PaperCircuit("2", "Bilge pump", "5 A", "battery box, before the isolator", "5, 6, 7",
                 "Pumps when the float rises, even with the isolator off; helm override runs it."),
    PaperCircuit("3", "Horn", "10 A", "fuse board 3", "8, 9", "The push works a relay."),
    PaperCircuit("4", "Searchlight", "10 A", "fuse board 4", "11", "Switch and relay at the helm."),
)  # fmt: skip


def way(number: int) -> PaperWay:
    if number == 6:
        return PaperWay("6")
    one = WIRES[number + 5]
    return PaperWay(
        str(number), one.number, one.letters, one.main_hex, one.tracer_hex, one.left.words
    )


FITTINGS = (
    PaperFitting(
        "Roof plug", "plug half", "wheelhouse roof", tuple(map(way, range(1, 7))), "6 way sealed", 3
    ),
    PaperFitting(
        "Roof socket", "socket half", "wheelhouse roof", tuple(map(way, range(1, 7))),
        "6 way sealed", 3, socket=True,
    ),
    PaperFitting("Negative bar", "bar", "helm", tuple(map(way, range(1, 5)))),
)  # fmt: skip

QUOTE = Quote(
    head=replace(HEAD, revision=""),
    number="26-041-B",
    dated=date(2026, 11, 3),
    issued=True,
    customer="Dunlin Day Boats",
    customer_address=("The Slipway", "Wick Staithe"),
    rests_on="needs list of 29 October, 12 V insulated return",
    delivery="six weeks from deposit",
    valid_until=date(2026, 12, 3),
    lines=(
        QuoteLine("Survey, design and drawings", "1", 42000, 42000),
        QuoteLine("Main loom, built and tested", "6", 410400, 68400, "47 wires, plug at the roof"),
        QuoteLine("Roof plug and socket set", "6", 14100, 2350),
        QuoteLine("Hand-over papers and spare fuse-links", "6", 8400, 1400),
    ),
    discount_minor=23745,
    discount="Discount 5 %",
    net_minor=451155,
    vat_percent=Decimal(20),
    vat_minor=90231,
    total_minor=541386,
    deposit_minor=162416,
    deposit="Deposit 30 %, with the order",
    supplied_by_customer=("VHF radio with its own lead", "depth sounder"),
    not_included=("installation in the boats", "aerial cable"),
    terms=(
        "Every unit is tested for continuity, isolation and function, with its certificate.",
        "Balance on delivery.",
    ),
)
TICKET = JobTicket(
    HEAD,
    "6.4 m launch",
    "12 V, insulated return",
    6,
    date(2026, 12, 12),
    tuple(f"{n:02}-0417" for n in range(1, 7)),
    customer_parts=("VHF radio, 1 of 6, received 2 November", "depth sounder, awaited"),
    notes=("Roof plug is pulled through the roof post: fit the socket half after.",),
)
DESIGN = DesignSheet(
    HEAD, "12 V, insulated return", WIRES, CIRCUITS, FITTINGS, PLAN, "9 November 2026, A. Marr",
    ("Bilge pump stands before the isolator.",),
)  # fmt: skip


def cut_group(letters: str, size: float, numbers: range) -> CutGroup:
    return CutGroup(
        f"Thin-wall PVC {size:g} mm²", letters, f"{size:g} mm²", size, HEXES[letters[0]],
        HEXES[letters[1]] if len(letters) > 1 else None,
        tuple(
            Cut(str(n), WIRES[n - 1].length_mm, 6, WIRES[n - 1].left.words,
                WIRES[n - 1].right.words, 6.4, 9.5)
            for n in numbers
        ),
        "reel 14, then offcut 3",
    )  # fmt: skip


CUT_LIST = CutList(
    HEAD, "units 1 to 6",
    (cut_group("R", 10, range(1, 2)), cut_group("SR", 1.5, range(3, 9)),
     cut_group("W", 1, range(9, 20)), cut_group("B", 2.5, range(20, 26))),
)  # fmt: skip
KIT_LIST = KitList(
    HEAD,
    "units 1 to 6",
    (
        KitGroup("Terminals", (
            KitRow("Tab receptacle 6.3, 1.0 to 2.5 mm²", "312", "wires 2 to 11", "T-04"),
            KitRow("Ring M6, 10 mm²", "24", "wires 1, 12", "T-11"),
        )),
        KitGroup("Customer's parts", (
            KitRow("VHF radio lead", "6", "helm", "C-1", from_customer=True),
        )),
    ),
)  # fmt: skip
CUT_STEP = BenchStep("Cut", "", "10:14, A. Marr")
END_STEPS = (
    BenchStep("Thread on", "tag, then shrink 6.4 to 3.2, 25 mm"),
    BenchStep("Strip 6.4 mm"),
    BenchStep("Crimp", "tab receptacle 6.3, height 1.55 ± 0.05"),
    BenchStep("Shrink and tug"),
    BenchStep("Insert", "way 2"),
)
BENCH = BenchSheet(
    HEAD,
    "unit 2 of 6",
    "02-0417",
    tuple(
        BenchWire(one, (replace(CUT_STEP, done=CUT_STEP.done if i < 4 else ""),),
                  END_STEPS, END_STEPS,
                  EndState.CUT if i < 4 else EndState.PLANNED,
                  EndState.CUT if i < 4 else EndState.PLANNED)
        for i, one in enumerate(WIRES)
    ),
    (BenchBranch("helm to foredeck", (BenchStep("Bind"), BenchStep("Sleeve", "PVC 12 mm"))),),
    PLAN,
)  # fmt: skip
TEST_SHEET = TestSheet(
    HEAD,
    "unit 2 of 6",
    "02-0417",
    (
        TestGroup(
            "Continuity",
            tuple(TestRow(f"C{w.number}", f"Wire {w.number} {w.letters}", "continuous",
                          f"{w.left.words} to {w.right.words}") for w in WIRES[:12]),
            "End to end with the meter's buzzer, both plugs open.",
        ),
        TestGroup(
            "Resistance, end to end",
            tuple(TestRow(f"R{w.number}", f"Wire {w.number} {w.letters}", "at most 21.4 mΩ")
                  for w in WIRES[:4]),
            "Four-wire reading, or the drop under a known load.",
        ),
        TestGroup("Isolation", (TestRow("I1", "Circuit 1 to all others", "at least 1 MΩ"),)),
    ),
)  # fmt: skip
CERTIFICATE = Certificate(
    HEAD,
    "26-041-02",
    "02-0417",
    "unit 2 of 6",
    "6.4 m launch",
    "12 V, insulated return",
    True,
    "A. Marr",
    date(2026, 11, 20),
    (
        CertificateGroup(
            "Continuity",
            tuple(CertificateRow(f"C{w.number}", f"Wire {w.number} {w.letters}", "continuous",
                                 "continuous", True, "Meter 2", "A. Marr", "14:02")
                  for w in WIRES[:30]),
        ),
        CertificateGroup(
            "Resistance, end to end",
            (CertificateRow("R1", "Wire 1 R", "at most 8.2 mΩ", "7.6 mΩ", True, "Bridge 1",
                            "A. Marr", "14:20", 1),),
        ),
    ),
    (Instrument("Meter 2", "70213", date(2026, 3, 2)), Instrument("Bridge 1", "118")),
    ("Pull sample of the 10 mm² ring: no spare wire; A. Marr",),
    ("Crimp height of tab receptacle 6.3",),
)  # fmt: skip
HAND_OVER = HandOver(
    HEAD,
    "6.4 m launch",
    "12 V, insulated return",
    "The main loom of the launch: it carries the battery's supply to the helm and from there to "
    "lamps, pump, horn, wiper and searchlight.",
    WIRES,
    "02-0417",
    date(2026, 11, 20),
    CIRCUITS,
    FITTINGS,
    PLAN,
    ("Keep the battery box dry and vented.", "Look at the roof plug's seal every spring."),
    ("Replace a wire by the same size and colour, and tag both ends with its number.",),
    ("2 fuse-links of each rating, in the helm locker",),
    "26-041-02",
)

ALL = {
    "quote": QUOTE,
    "job_ticket": TICKET,
    "design_sheet": DESIGN,
    "cut_list": CUT_LIST,
    "kit_list": KIT_LIST,
    "bench_sheet": BENCH,
    "test_sheet": TEST_SHEET,
    "certificate": CERTIFICATE,
    "hand_over": HAND_OVER,
}
