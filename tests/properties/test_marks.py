"""Whatever is logged of a batch and taken back, in whatever order: every day of it can be laid out, and labour follows."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings, strategies as st
from hypothesis.extra.django import TestCase

from costing.make.recipes.services import Step
from costing.make.steps import schedule, selectors as read
from costing.make.steps.agenda import selectors as dues
from costing.make.steps.marks import services as marks
from costing.make.steps.plans import selectors as plans
from costing.models import Batch, LabourLine, StepMark
from inventory.errors import Refused
from tests import factories
from tests.factories import DAY
from tests.properties import few

STEPS = (
    Step("Bath", lasts_days=4, grace_days=1, every_days=1, repeat="Turn", uses="tub"),
    Step("Oil", wait_days=1),
    Step("Frame", lasts_days=3, every_days=2, repeat="Feel", uses="frame"),
)


@dataclass(frozen=True)
class Tap:
    """`step` is the place of the step, or which of the marks is taken back; the same batch by two hands or one."""

    kind: str
    step: int
    day: int
    minutes: int


TAP = st.builds(
    Tap,
    kind=st.sampled_from(("repeat", "repeat", "done", "done", "skipped", "take back")),
    step=st.integers(0, 2),
    day=st.integers(-1, 14),
    minutes=st.integers(0, 40),
)


def _do(batch: Batch, tap: Tap) -> None:
    if tap.kind == "take back":
        found = StepMark.objects.order_by("-pk")[tap.step : tap.step + 1]
        for mark in found:
            marks.reverse(mark=mark)
        return
    step = batch.version.steps.all()[tap.step]
    minutes = None if tap.kind == "skipped" else Decimal(tap.minutes)
    marks.log(batch=batch, step=step, kind=tap.kind, on=DAY + timedelta(days=tap.day), minutes=minutes)


@pytest.mark.slow
class MarkRules(TestCase):
    @given(st.lists(TAP, min_size=4, max_size=14))
    @settings(max_examples=few(6))
    def test_what_was_logged_can_always_be_laid_out_and_its_minutes_are_labour(self, run: list[Tap]) -> None:
        factories.skin("H01")
        version = factories.recipe("R9", steps=STEPS)
        tub, racks = factories.place("Tub", "tub"), factories.place("Racks", "frame")
        batch = factories.batch("B9", version=version, tags=["H01"], place=tub, frames=racks)
        for tap in run:
            with suppress(Refused):
                _do(Batch.objects.get(pk=batch.pk), tap)
        batch.refresh_from_db()
        steps = read.as_steps(version.steps.all(), 1)
        for nth in range(-1, 16, 4):
            day = DAY + timedelta(days=nth)
            laid = schedule.lay_out(steps, batch.start, read.standing_marks(batch, until=day), today=day)
            open_steps = [each for each in laid if each.ended is None]
            asked = dues.tasks(day, ahead_days=40)
            assert len({task.step.name for task in asked}) <= 1
            assert bool(asked) == bool(open_steps and (nth >= 0 or batch.state == "planned"))
        assert plans.clashes(DAY) == []
        standing = StepMark.objects.filter(reversed_at__isnull=True)
        ends = list(standing.exclude(kind="repeat").values_list("step__position", flat=True).order_by("on", "pk"))
        assert ends == list(range(1, len(ends) + 1))
        minutes = sum((mark.labour.minutes for mark in standing if mark.labour), Decimal(0))
        assert sum((line.minutes for line in LabourLine.objects.all()), Decimal(0)) == minutes
