"""Whatever four tablets state, however often and in whatever order it arrives: a key counts once,
the order is the server's, the state is what the journal says, and nothing finished rests on what
is open unless a reason says so."""

import itertools
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from sqlalchemy import text
from sqlalchemy.orm import Session

from tests.stages.building.at_bench import begin, plan_of
from webapp.stages.building import bench, taking
from webapp.stages.building.bench import Answer, Entry
from webapp.stages.building.steps import WorkPlan
from webapp.stages.building.tick_states import STATED

START = datetime(2026, 11, 24, 8, 0, tzinfo=UTC)
# Two ends and what they go into: steps that rest on each other.
WIRES = ("l2.0",)
LAST = "SELECT step_uid, state, id FROM tick ORDER BY id"
# Binding and covering can stay while an end is remade.
MAY_STAY = ("pass", "bind", "try", "cover")


@dataclass
class Device:
    number: int
    skew: timedelta
    seen: dict[str, int] = field(default_factory=dict)


STATEMENTS = st.tuples(
    st.integers(0, 3),  # which tablet
    st.integers(0, 25),  # which step
    st.sampled_from(("done",) * 12 + STATED),
    st.booleans(),  # with a reason
    st.booleans(),  # it has just looked at how the step stands
)
STORIES = st.tuples(
    st.lists(STATEMENTS, min_size=25, max_size=40),
    st.lists(st.integers(-86_400, 86_400), min_size=4, max_size=4),  # how wrong each clock is, s
    st.randoms(use_true_random=False),
)


def steps_of(plan: WorkPlan) -> list[str]:
    return [
        step.uid
        for step in plan
        if plan.work_of[step.uid] in WIRES or step.operation in ("join", "assemble")
    ]


def test_any_story_leaves_a_sound_journal(session: Session) -> None:
    """One unit for all stories: each begins on a savepoint that is taken back."""
    loom, unit_id = begin(session)
    plan = plan_of(session, unit_id)
    names = itertools.count()

    @settings(
        max_examples=6,
        deadline=None,
        derandomize=True,
        phases=(Phase.generate,),
        suppress_health_check=list(HealthCheck),
    )
    @given(STORIES)
    def tell(story: tuple[list[tuple[int, int, str, bool, bool]], list[int], object]) -> None:
        with session.begin_nested() as told:
            Story(session, unit_id, loom.person_id, plan, next(names)).tell(*story)  # type: ignore[arg-type]
            told.rollback()

    tell()


class Story:
    def __init__(
        self, session: Session, unit_id: int, person_id: int, plan: WorkPlan, number: int
    ) -> None:
        self.session, self.unit_id, self.person_id = session, unit_id, person_id
        self.plan, self.steps, self.number = plan, steps_of(plan), number
        self.answers: dict[str, Answer] = {}
        self.for_good: dict[str, Answer] = {}
        self.now: dict[str, tuple[str, int]] = {}

    def tell(
        self, statements: list[tuple[int, int, str, bool, bool]], skews: list[int], chance: object
    ) -> None:
        devices = [Device(n, timedelta(seconds=skew)) for n, skew in enumerate(skews)]
        sent: list[tuple[Device, Entry]] = []
        for at, (which, step, state, reason, looked) in enumerate(statements):
            device = devices[which]
            self.now = {uid: (now, tick_id) for uid, now, tick_id in self.rows(LAST)}
            uid = self.pick(step, state)
            if looked:
                device.seen[uid] = self.now.get(uid, ("", 0))[1]
            entry = Entry(
                key=f"{device.number:06d}{self.number:06d}-{at:06d}",
                step_uid=uid,
                state=state,
                person_id=self.person_id,
                note=f"reason {at}" if reason else "",
                client_at=START + timedelta(seconds=at) + device.skew,
                seen=device.seen.get(uid, 0),
            )
            sent.append((device, entry))
            self.send(device, entry)
            # The answer was lost now and then: some entry is sent again, in a batch with others.
            if chance.random() < 0.3:  # type: ignore[attr-defined]
                again = chance.sample(sent, min(3, len(sent)))  # type: ignore[attr-defined]
                for other in devices:
                    self.send(other, *(each for whose, each in again if whose is other))
            self.nothing_rests_on_what_is_open()
        self.every_key_counts_once([entry for _, entry in sent])
        self.the_state_is_the_last_entry()

    def pick(self, number: int, state: str) -> str:
        """A step that comes next, or one that is done, as it fits; now and then any."""
        now = {uid: state for uid, (state, _) in self.now.items()}
        done = [uid for uid in self.steps if now.get(uid) == "done"]
        following = [
            uid
            for uid in self.steps
            if uid not in done and not bench.waits_for(self.plan, self.plan.by_uid[uid], now)
        ]
        pool = (following if state == "done" else done) if number % 5 else self.steps
        pool = pool or self.steps
        return pool[number % len(pool)]

    def send(self, device: Device, *entries: Entry) -> None:
        answers = taking.append(self.session, self.unit_id, entries, f"tablet {device.number}")
        for answer in answers:
            # What was saved, or met another's, has one answer for good. A plain refusal has not.
            assert answer == self.for_good.get(answer.key, answer)
            if answer.saved or self.met(answer.key):
                self.for_good[answer.key] = answer
            self.answers[answer.key] = answer

    def met(self, key: str) -> bool:
        return bool(self.rows("SELECT 1 FROM tick_meeting WHERE key = :key", key=key))

    def rows(self, sql: str, **values: object) -> list[tuple[Any, ...]]:
        return [tuple(row) for row in self.session.execute(text(sql), values)]

    def every_key_counts_once(self, entries: list[Entry]) -> None:
        saved = {key for key, answer in self.answers.items() if answer.saved}
        ticked = {key for (key,) in self.rows("SELECT key FROM tick WHERE key NOT LIKE '%/%'")}
        same = {key for (key,) in self.rows("SELECT key FROM tick_meeting WHERE outcome = 'same'")}
        assert ticked | same == saved
        assert not ticked & same
        # The order is that in which the server took them, whatever the tablets' clocks say.
        order = [key for (key,) in self.rows("SELECT key FROM tick ORDER BY id") if key in ticked]
        assert len(order) == len(set(order))
        stamps = [at for (at,) in self.rows("SELECT at FROM tick ORDER BY id")]
        assert stamps == sorted(stamps)  # type: ignore[type-var]

    def the_state_is_the_last_entry(self) -> None:
        """Rebuilt from the bare rows, in another way than the app does it."""
        rebuilt: dict[object, tuple[object, ...]] = {}
        rows = self.rows("SELECT step_uid, state, note, id FROM tick ORDER BY id DESC")
        for uid, *said in rows:
            rebuilt.setdefault(uid, tuple(said))
        found = bench.state(self.session, self.unit_id)
        assert {uid: (now.state, now.note, now.tick_id) for uid, now in found.items()} == rebuilt

    def nothing_rests_on_what_is_open(self) -> None:
        rows = self.rows("SELECT step_uid, state, note FROM tick ORDER BY id")
        now = {uid: (state, note) for uid, state, note in rows}
        for step in self.plan:
            if now.get(step.uid) != ("done", "") or step.operation in MAY_STAY:
                continue
            for uid in step.after:
                # A hold has a reason, and leaves what is there in its place.
                assert now[uid][0] in ("done", "waived", "held"), (step.uid, uid, now[uid])
