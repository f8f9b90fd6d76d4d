"""Findings: plain sentences about what to mend or note, each under the row that it concerns.

Each module holds the rules of one subject. A rule is a function from a View to findings; adding one
means writing it and naming it in the module's RULES.
"""

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.findings import circuits, faults, plugs, terminals, wires
from webapp.stages.design.findings.finding import Finding, Mend, View
from webapp.stages.design.rows import Design

RULES = (*circuits.RULES, *faults.RULES, *wires.RULES, *terminals.RULES, *plugs.RULES)
_ORDER = {"error": 0, "warning": 1, "note": 2}


def findings(design: Design, catalogue: Catalogue) -> list[Finding]:
    """All findings of a design, errors first."""
    view = View(design, catalogue)
    found = [finding for rule in RULES for finding in rule(view)]
    return sorted(found, key=lambda finding: _ORDER[finding.severity])


__all__ = ["Finding", "Mend", "View", "findings"]
