"""Findings: plain sentences about what to mend or note, each under the row that it concerns.

Each module holds the rules of one subject as data: name, severity, threshold, source, and the
function from a View to what is said. Adding a rule means writing it and naming it in the module's
RULES; the Method page lists it from here.
"""

from webapp.sizing.colours import COMMON_PALETTE, Palette
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.findings import (
    cables,
    changes,
    circuits,
    colours,
    contacts,
    faults,
    joints,
    plugs,
    returns,
    runs,
    splices,
    stock,
    terminals,
    wires,
)
from webapp.stages.design.findings.finding import (
    SEVERITIES,
    Change,
    Finding,
    Mend,
    Rule,
    Said,
    View,
)
from webapp.stages.design.rows import Design

# The subjects of the Method page's list, in its order.
SUBJECTS: tuple[tuple[str, tuple[Rule, ...]], ...] = (
    ("Supply, fuse-links and loads", circuits.RULES),
    ("Returns and poles", returns.RULES),
    ("Shorts at the far end", faults.RULES),
    ("Switches, relays and splices", contacts.RULES),
    ("Wires", wires.RULES),
    ("Cables of cores and pairs", cables.RULES),
    ("Colours", colours.RULES),
    ("Terminals and ways", terminals.RULES),
    ("Studs, crimps, heat-shrink and seals", joints.RULES),
    ("Plugs and coverings", plugs.RULES),
    ("Bends, coverings, grommets and glands", runs.RULES),
    ("Where splices lie", splices.RULES),
    ("Parts in stock", stock.RULES),
    ("After sign-off", changes.RULES),
)
RULES = tuple(rule for _, rules in SUBJECTS for rule in rules)


def findings(
    design: Design,
    catalogue: Catalogue,
    *,
    palette: Palette = COMMON_PALETTE,
    signed: Design | None = None,
) -> list[Finding]:
    """All findings of a design, errors first."""
    return findings_of(View(design, catalogue, palette=palette, signed=signed))


def findings_of(view: View, *, bundles: bool = True) -> list[Finding]:
    """The same of a view, which keeps them; without `bundles` not what must pack them first."""
    found: list[Finding] = []
    for rule in RULES:
        if bundles or not rule.of_bundles:
            if rule.name not in view.found:
                view.found[rule.name] = list(rule.findings(view))
            found += view.found[rule.name]
    return sorted(found, key=lambda finding: SEVERITIES.index(finding.severity))


__all__ = [
    "RULES",
    "SUBJECTS",
    "Change",
    "Finding",
    "Mend",
    "Rule",
    "Said",
    "View",
    "findings",
    "findings_of",
]
