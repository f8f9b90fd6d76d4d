"""Every rule of the findings, each with a design that raises it, one that does not, and its mend.

To add a rule's case: put `Case(name, raised, silent, mended)` into CASES of the file named after
the rule's module, cases_<module>.py beside this one (a new file is found by its name). `raised` and
`silent` make a Design, or a Seen where the stores or a signed-off revision matter; samples.py has
designs to start from. `silent` is the sound sample unless given. With `mended=True` every mend that
`raised` brings is made by the editing that the page does: the finding must go and no error come;
without it no finding of the rule may bring a mend.
"""

import importlib
import pkgutil
import re
from pathlib import Path

import pytest

from tests.stages.design.findings.case import Case, Seen, seen
from webapp.stages.design.editing.mending import editing
from webapp.stages.design.findings import RULES, SUBJECTS, Finding
from webapp.stages.design.findings.finding import SEVERITIES

CASES: list[Case] = [
    case
    for module in pkgutil.iter_modules([str(Path(__file__).parent)])
    if module.name.startswith("cases_")
    for case in importlib.import_module(f"tests.stages.design.findings.{module.name}").CASES
]
NAMES = [case.rule for case in CASES]
by_case = pytest.mark.parametrize("case", CASES, ids=NAMES)


def of_rule(made: Seen, rule: str) -> list[Finding]:
    return [finding for finding in made.findings() if finding.rule == rule]


def test_every_rule_has_its_one_case() -> None:
    assert sorted(NAMES) == sorted(rule.name for rule in RULES)
    assert len(set(NAMES)) == len(NAMES)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_every_rule_says_its_threshold_and_its_source(rule: object) -> None:
    assert rule.severity in SEVERITIES  # type: ignore[attr-defined]
    assert rule.source.strip()  # type: ignore[attr-defined]
    threshold = rule.threshold  # type: ignore[attr-defined]
    assert threshold.endswith(".")
    assert re.search(r"\d|\b(A|A²s|V|mm|mm²|%|°C|s)\b", threshold), threshold


def test_every_module_of_rules_is_among_the_subjects() -> None:
    assert len({rule.name for rule in RULES}) == len(RULES)
    assert all(rules and title for title, rules in SUBJECTS)


@by_case
def test_it_is_raised_in_whole_sentences(case: Case) -> None:
    made = seen(case.raised())
    raised = of_rule(made, case.rule)
    assert raised
    for finding in raised:
        assert re.match(r"[A-Z0-9“]", finding.sentence), finding.sentence
        assert finding.sentence.endswith(".")
        assert finding.source
    for finding in made.findings():
        table = "link" if finding.table == "wire" else finding.table
        assert finding.uid in made.design.table(table)


@by_case
def test_it_is_not_raised_where_it_does_not_hold(case: Case) -> None:
    assert of_rule(seen(case.silent()), case.rule) == []


@by_case
def test_its_mend_puts_it_right_and_breaks_nothing(case: Case) -> None:
    made = seen(case.raised())
    with_mend = [finding for finding in of_rule(made, case.rule) if finding.mend]
    assert bool(with_mend) is case.mended
    before = _errors(made)
    for finding in with_mend:
        assert finding.mend is not None
        edit = editing(finding.mend)(made.design, made.catalogue)
        after = Seen(edit.design, made.catalogue, made.signed)
        assert finding not in of_rule(after, case.rule)
        errors = _errors(after)
        assert set(errors) <= set(before), finding.mend.words
        assert len(errors) <= len(before)


def _errors(made: Seen) -> list[tuple[str, str]]:
    """The rows with errors: what is mended may bring to light the next fault of the same row."""
    return [(each.table, each.uid) for each in made.findings() if each.severity == "error"]
