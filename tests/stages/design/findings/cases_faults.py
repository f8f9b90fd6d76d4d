"""Cases of the rules about shorts at the far end."""

from tests.stages.design.findings import samples
from tests.stages.design.findings.case import Case
from tests.stages.design.findings.samples import basis, every_fuse

CASES = (
    Case("fault never cleared", lambda: basis(supply_mohm_old_cold=3000.0)),
    Case("fault heats wire", lambda: every_fuse("blade-medium", 30.0)),
    Case("fault not judged", lambda: every_fuse("cartridge-10x38", 4.0), samples.plain),
    Case("inrush", samples.starting),
    Case("selectivity", lambda: every_fuse("blade-medium", 5.0), samples.plain),
)
