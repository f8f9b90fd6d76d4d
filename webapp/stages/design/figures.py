"""The figures of each wire and load that people see: current, protection, temperature, drop.

Heat is reckoned at the charging voltage, drop at the discharged battery. What leads to them stands
in currents.py (traced), fused.py, warmth.py and operating.py (the loom solved as a network).
"""

from dataclasses import dataclass
from functools import cached_property

from webapp.sizing.fuse_gates import FUSE_KIND_IDS
from webapp.sizing.fuses import required_wire_current_a
from webapp.sizing.permitted import Permitted
from webapp.sizing.reasons import Reason, SizingError
from webapp.stages.design.currents import LoadFigures, duty_share_of
from webapp.stages.design.fused import UNFUSED
from webapp.stages.design.operating import Operating
from webapp.stages.design.rows import Design, Link
from webapp.stages.design.warmth import Surroundings, Warmth


@dataclass(frozen=True)
class WireFigures:
    """One link's figures, the same for all the wires that plugs cut it into."""

    link: Link
    heat_a: float
    # The operating state that asks most of it.
    state: str
    drop_a: float
    fuse_a: float | None
    fuse_kind: str
    needed_a: float
    capacity: Permitted | None
    surroundings: Surroundings
    temperature_c: float | None
    drop_v: float | None
    drop_percent: float | None
    reasons: tuple[Reason, ...]
    trouble: str = ""


@dataclass(frozen=True)
class LoadDrop:
    load: LoadFigures
    drop_v: float
    drop_percent: float
    limit_percent: float


class Figures(Warmth):
    """Works out the figures of one design. Nothing is kept between designs."""

    def __init__(self, design: Design) -> None:
        super().__init__(design)
        self._wire_cache: dict[str, WireFigures] = {}

    def of(self, design: Design) -> "Figures":
        """The figures of the same circuit, nothing traced anew: a design that differs from this
        one in sizes, colours, ratings and parts, not in what is joined, its lengths and loads."""
        figures = Figures(design)
        figures._take_traced(self)
        return figures

    @cached_property
    def operating(self) -> Operating:
        return Operating(self)

    def carried_a(self, link: Link) -> tuple[float, str]:
        """What the wire carries in its worst state as the current really divides, and that state.

        Where the loom cannot be solved yet, the traced current stands in.
        """
        worst = self.operating.worst.get(link.uid)
        if worst is None:
            return self.heat_a(link.uid), ""
        charging = self.source_a.get(link.uid, 0.0)
        return (charging, "charging") if charging > worst[0] else worst

    def duty_share(self, load_uid: str) -> float:
        return duty_share_of(self.loads[load_uid].need)

    def wire(self, link_uid: str) -> WireFigures:
        if link_uid not in self._wire_cache:
            self._wire_cache[link_uid] = self._work_out(self.design.link[link_uid])
        return self._wire_cache[link_uid]

    def _work_out(self, link: Link) -> WireFigures:
        heat, state = self.carried_a(link)
        drop_a = self.worst_drop_a(link)
        rating, kind = self.fuse_a(link), self.fuse_kind(link)
        wire = self.conductor(link)
        around = self.surroundings(link)[0] if self.surroundings(link) else _NOWHERE
        stands, trouble = None, ""
        if wire is None:
            trouble = (
                "No conductor size is given yet."
                if link.csa_mm2 is None
                else (f"{link.csa_mm2:g} mm² is not a size of this cable.")
            )
        else:
            try:
                stands, around = self.worst_capacity(link, wire)
            except SizingError as error:
                trouble = str(error)
        temperature_c = self.reached_c(link)
        drop_v = self.link_drop_v(link, wire, drop_a) if wire else None
        needed = self.needed_a(link)
        reasons = stands.reasons if stands else ()
        stands_fuse = rating is not None and 0 < rating < UNFUSED and kind in FUSE_KIND_IDS
        if stands_fuse and rating is not None and not link.starter_cable:
            reasons = (*required_wire_current_a(rating, kind).reasons, *reasons)
        reasons = (_carried_reason(heat, state), *reasons)
        if link.starter_cable and self.operating.cranking is not None:
            reasons = (*reasons, self.operating.cranking.reason)
        return WireFigures(
            link=link,
            heat_a=heat,
            state=state,
            drop_a=drop_a,
            fuse_a=rating,
            fuse_kind=kind,
            needed_a=needed,
            capacity=stands,
            surroundings=around,
            temperature_c=temperature_c,
            drop_v=drop_v,
            drop_percent=None if drop_v is None else 100 * drop_v / self.design.basis.drop_at_v,
            reasons=reasons,
            trouble=trouble,
        )

    def worst_drop_a(self, link: Link) -> float:
        through = self.loads_through.get(link.uid, [])
        most = max((self.drop_a(link.uid, load) for load in through), default=0.0)
        return max(most, self.source_a.get(link.uid, 0.0))

    @cached_property
    def drops(self) -> list[LoadDrop]:
        """The drop from the battery to each load and back."""
        return [self.load_drop(load) for load in self.loads.values() if load.path.complete]

    def load_drop(self, load: LoadFigures) -> LoadDrop:
        limit = load.need.max_drop_percent if load.need else 10.0
        lost_v = self.operating.lost_v.get(load.uid)
        if lost_v is not None:
            return LoadDrop(load, lost_v, 100 * lost_v / self.design.basis.drop_at_v, limit)
        total = 0.0
        for uid in load.path.edges:
            link = self.design.link.get(uid)
            wire = self.conductor(link) if link else None
            if link is not None and wire is not None:
                total += self.link_drop_v(link, wire, self.drop_a(uid, load))
        return LoadDrop(load, total, 100 * total / self.design.basis.drop_at_v, limit)


def _carried_reason(amps: float, state: str) -> Reason:
    """Where the current of a wire comes from."""
    solved = f"It carries most while {state} is on." if state else "Traced: the loom is not whole."
    return Reason(
        text=solved,
        name="current_a",
        value=amps,
        unit="A",
        source="DC solution of the loom, Kirchhoff's laws" if state else "traced to the supply",
    )


_NOWHERE = Surroundings("not routed", 30.0, "none", 1, 100.0)
