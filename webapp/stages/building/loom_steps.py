"""The work steps of splices, plugs and runs, and the plan of a whole unit."""

from collections.abc import Sequence

from webapp.convention import now
from webapp.stages.building.cable_steps import cable_work, laid
from webapp.stages.building.parts import Parts, part, says_yes
from webapp.stages.building.steps import DEPTHS, EndWork, OtherWork, Step, WireWork, WorkPlan
from webapp.stages.building.threading import Waits, made_late, pass_uid, waiting
from webapp.stages.building.wire_steps import fitting_of, is_plug, is_splice, wire_work
from webapp.stages.design.cables import piece_of, pieces
from webapp.stages.design.cavities import is_sealed
from webapp.stages.design.rows import Design, Fitting, Run
from webapp.stages.design.splices import lies_in_words
from webapp.stages.design.wires import End, wires

NO_COVERING = ("", "none")
TRY_UID = "loom:try"
Ends = list[tuple[WireWork, EndWork, End]]


def work_plan(design: Design, parts: Parts, depth: str) -> WorkPlan:
    """Every step of one unit, in the order of the bench.

    Raises:
        ValueError: a depth that is none.
    """
    if depth not in DEPTHS:
        raise ValueError(f"{depth!r} is not a depth of work steps")
    found = wires(design)
    lying = pieces(design, found)
    cables = {piece.uid: cable_work(design, parts, piece) for piece in lying}
    piece = piece_of(lying)
    works = tuple(
        wire_work(
            design,
            parts,
            wire,
            depth,
            laid(piece[wire.uid], cables[piece[wire.uid].uid], wire) if wire.uid in piece else None,
        )
        for wire in found
    )
    waits = waiting(design, parts, found)
    works = tuple(made_late(design, work, waits) for work in works)
    used = _used(design, works)
    others = (
        *(_splice(design, parts, fitting, ends, depth) for fitting, ends in used
          if is_splice(fitting)),
        *(_plug(design, parts, fitting, ends) for fitting, ends in used if is_plug(fitting)),
        *_runs(design, parts, works, waits),
    )  # fmt: skip
    return WorkPlan(works, others, tuple(cables.values()))


def _used(design: Design, works: Sequence[WireWork]) -> list[tuple[Fitting, Ends]]:
    """The fittings that some wire goes to, in the design's order, with the ends there."""
    ends: dict[str, Ends] = {}
    for work in works:
        for done, end in zip(work.ends, work.wire.ends, strict=True):
            if fitting := fitting_of(design, end):
                ends.setdefault(fitting.uid, []).append((work, done, end))
    return [(fitting, ends[uid]) for uid, fitting in design.fitting.items() if uid in ends]


def _splice(design: Design, parts: Parts, fitting: Fitting, ends: Ends, depth: str) -> OtherWork:
    numbers = " + ".join(work.number for work, _, _ in ends)
    after = tuple(done.steps[-1].uid for _, done, _ in ends if done.steps)
    kind = part(parts, fitting.part_uid)
    said = (f"wires {numbers}", kind.name if kind else "", lies_in_words(design, fitting))
    detail = " · ".join(filter(None, said))
    steps = [Step(f"{fitting.uid}:join", "join", "Join", detail, after)]
    if depth == "full":
        made = [end.made for _, _, end in ends]
        more = []
        if any(end.solder for end in made) or says_yes(kind, "soldered"):
            more.append(("solder", "Solder", "let it flow; nothing pulled while it sets"))
        if any(end.shrink_part_uid for end in made):
            more.append(("shrink", "Shrink", "over the whole joint, equal at both sides"))
        more.append(("tug", "Tug", "each wire by hand; nothing moves"))
        for operation, title, words in more:
            uid = f"{fitting.uid}:{operation}"
            steps.append(Step(uid, operation, title, words, (steps[-1].uid,)))
    return OtherWork(fitting.uid, fitting.name, tuple(steps))


def _plug(design: Design, parts: Parts, fitting: Fitting, ends: Ends) -> OtherWork:
    after = tuple(
        step.uid
        for work, done, _ in ends
        for step in (*done.steps, *work.last)
        if step.operation == "insert"
    )
    filled = len(ends)
    ways = len(design.ways_of[fitting.uid])
    spare = f", {ways - filled} spare" if ways > filled else ""
    if spare and fitting.blanked and is_sealed(parts, fitting):
        spare += ": blanking plugs in"
    detail = f"{filled} of {ways} ways filled{spare}; close the lock, tag"
    step = Step(f"{fitting.uid}:assemble", "assemble", "Assemble and lock", detail, after)
    return OtherWork(fitting.uid, fitting.name, (step,))


def _runs(design: Design, parts: Parts, works: Sequence[WireWork], waits: Waits) -> list[OtherWork]:
    """Masking tape first; the covering once the whole loom has been tried in place."""
    through = {
        run.uid: [work for work in works if run.uid in (work.wire.route or ())]
        for run in design.run.values()
    }
    used = [run for run in design.run.values() if through[run.uid]]
    binds = {run.uid: _bind_steps(run, through[run.uid], parts, waits) for run in used}
    tape = tuple(steps[-1].uid for steps in binds.values())
    covered = [run for run in used if run.covering.lower() not in NO_COVERING]
    tried = Step(TRY_UID, "try", "Try the loom in place", "then cover it", tape)
    found = [OtherWork(run.uid, run_name(design, run), tuple(binds[run.uid])) for run in used]
    if covered:
        found.append(OtherWork("loom", "Whole loom", (tried,)))
    for run in covered:
        step = Step(f"{run.uid}:cover", "cover", f"Cover: {run.covering}", "take the tape off as "
                    "you go", (TRY_UID,))  # fmt: skip
        name = f"{run_name(design, run)}, covering"
        found.append(OtherWork(f"{run.uid}:covering", name, (step,)))
    return found


def _bind_steps(run: Run, works: Sequence[WireWork], parts: Parts, waits: Waits) -> list[Step]:
    # Ends are tagged before anything is bound; the tag goes on first of all at each end.
    tagged = tuple(
        dict.fromkeys(
            steps[0].uid
            for work in works
            for steps in (end.steps or work.whole for end in work.ends)
        )
    )
    count = f"{len(works)} wire" + ("" if len(works) == 1 else "s")
    steps = []
    late = {
        end.steps[0].uid
        for work in works
        for end in work.ends
        if end.steps and end.uid in waits.before_end
    }
    if run.through or run.through_part_uid:
        opening = part(parts, run.through_part_uid)
        title = f"Slide on the {run.through or (opening.kind if opening else '')}"
        detail = " · ".join(filter(None, (count, opening.name if opening else "")))
        tags = tuple(uid for uid in tagged if uid not in late)
        steps.append(Step(pass_uid(run), "pass", title, detail, tags))
    before = (steps[-1].uid, *(uid for uid in tagged if uid in late)) if steps else tagged
    detail = f"{count}, {now().words(run.length_mm or 0)}; ends tagged first"
    return [*steps, Step(f"{run.uid}:bind", "bind", "Bind with masking tape", detail, before)]


def run_name(design: Design, run: Run) -> str:
    return f"{design.place[run.from_place_uid].name} – {design.place[run.to_place_uid].name}"
