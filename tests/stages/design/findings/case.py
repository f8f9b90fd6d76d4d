"""What is tested of each rule."""

from collections.abc import Callable
from dataclasses import dataclass, field

from tests.stages.design.findings.samples import SOUND
from tests.stages.design.need_lists import CATALOGUE
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.findings import Finding, View, findings_of
from webapp.stages.design.rows import Design


@dataclass(frozen=True)
class Seen:
    """A design as a rule sees it, where more than the design matters."""

    design: Design
    catalogue: Catalogue = field(default_factory=lambda: CATALOGUE)
    signed: Design | None = None

    def findings(self) -> list[Finding]:
        return findings_of(View(self.design, self.catalogue, signed=self.signed))


@dataclass(frozen=True)
class Case:
    """One rule by its name: what raises it, what does not, and whether one tap mends it."""

    rule: str
    raised: Callable[[], Design | Seen]
    silent: Callable[[], Design | Seen] = lambda: SOUND
    mended: bool = False


def seen(made: Design | Seen) -> Seen:
    return made if isinstance(made, Seen) else Seen(made)
