"""Marks of a folder are judged together; they are written exactly where each by itself would be."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

import pytest
from django.db import transaction

from costing.make.steps.marks import services as marks
from costing.models import Batch, RecipeVersion, StepMark
from inventory.errors import Refused
from tests import factories as make
from tests.costing.make.steps.marks.test_services import BATH, FRAME, OIL, START
from tests.thorough import THOROUGH

pytestmark = pytest.mark.django_db
RUNS = 400 if THOROUGH else 15
MARK = ("batch__number", "step__name", "kind", "on", "note")


def told_at_random(of: Random, batches: list[Batch], strange: RecipeVersion) -> list[marks.Told]:
    """Mostly what can have happened: the steps in their order, some turned in between; now and then something that cannot."""
    found = []
    for batch in batches:
        on = START
        for step in batch.version.steps.order_by("position")[: of.randint(0, 3)]:
            kinds = ["repeat"] * of.choice([0, 0, 2]) if step.every_days else []
            for kind in [*kinds, of.choice(["done", "done", "skipped"])]:
                on += timedelta(days=of.randint(0, 9))
                found.append(marks.Told(batch, step, kind, on, of.choice(["", "warm"])))
    if of.random() < 0.5 and found:
        odd = of.choice(found)
        kind, step = of.choice([("repeat", odd.step), ("drawn", odd.step), ("done", strange.steps.first())])
        on = of.choice([odd.on, date(1969, 1, 1)])
        found.insert(
            of.randint(0, len(found)), marks.Told(odd.batch, step or odd.step, kind, on, "x" * of.choice([1, 201]))
        )
    return sorted(found, key=lambda each: each.on)


def one_by_one(told: list[marks.Told]) -> None:
    for each in told:
        marks.log(batch=each.batch, step=each.step, kind=each.kind, on=each.on, note=each.note, without=None)


def together(told: list[marks.Told]) -> None:
    marks.log_told(told=told)


@pytest.mark.thorough
def test_told_marks_are_written_where_each_by_itself_would_be() -> None:
    strange = make.recipe("R2", steps=[OIL])
    version = make.recipe("R1", steps=[BATH, OIL, FRAME])
    make.skin("H01", date_in=START)
    batches = [make.batch(f"B{n}", version=version, start=START, tags=["H01"] if n == 1 else []) for n in (1, 2)]
    of, outcomes = Random(3), []  # noqa: S311 - figures, no secret
    for _ in range(RUNS):
        told = told_at_random(of, batches, strange)
        seen = []
        for write in (one_by_one, together):
            with transaction.atomic():
                try:
                    write(told)
                    refused = False
                except Refused:
                    refused = True
                written = [] if refused else list(StepMark.objects.order_by("pk").values_list(*MARK))
                states = (
                    [] if refused else list(Batch.objects.order_by("pk").values_list("state", "stays__skin__stage"))
                )
                seen.append((refused, written, states))
                transaction.set_rollback(True)
            for batch in batches:
                batch.refresh_from_db()
        assert seen[0] == seen[1], told
        outcomes.append(seen[0][0])
    assert 0 < sum(outcomes) < RUNS, "both are met: what is written and what is refused"
