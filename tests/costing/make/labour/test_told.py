"""Work of a folder is judged together; it is written exactly where each line by itself would be."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest
from django.db import transaction

from costing.make.labour import services as labour
from costing.models import Batch, LabourLine
from inventory.errors import Refused
from tests import factories as make
from tests.factories import DAY, days_from
from tests.thorough import THOROUGH

pytestmark = pytest.mark.django_db
D = Decimal
RUNS = 400 if THOROUGH else 20
day = days_from(DAY)
ODD = (
    *({"minutes": D(0)}, {"minutes": D(2000)}, {"minutes": D("0.0001")}, {"kind": "sing"}, {"who": "x" * 81}),
    *({"how": "shells"}, {"paid": D("0.001")}, {"tags": ["H99"]}, {"on": day(-40)}, {"batch": None, "tags": []}),
)


def told_at_random(of: Random, batches: list[Batch]) -> list[labour.Told]:
    found = []
    for _ in range(of.randint(1, 5)):
        batch = of.choice([*batches, None])
        tags = of.sample(["H01", "H02", "H03"], of.randint(0 if batch else 1, 2))
        kind, task = of.choice([("lace", ""), ("soften", "by hand"), ("", "")])
        found.append(
            labour.Told(day(of.randint(0, 3)), D(of.randint(1, 90)), kind, task, batch, tags, paid=D(of.randint(0, 1)))
        )
    if of.random() < 0.3:
        at = of.randrange(len(found))
        found[at] = replace(found[at], **of.choice(ODD))
    return found


def one_by_one(told: list[labour.Told]) -> None:
    for each in told:
        labour.log(**vars(each))


def together(told: list[labour.Told]) -> None:
    labour.log_told(told=told)


def written() -> list[object]:
    lines = LabourLine.objects.order_by("pk").prefetch_related("skins")
    known = ("on", "batch_id", "kind", "task", "minutes", "who", "paid", "how", "laced")
    return [
        *([*(getattr(line, name) for name in known), sorted(skin.tag for skin in line.skins.all())] for line in lines),
        *Batch.objects.order_by("pk").values_list("state", "stays__skin__stage"),
    ]


def test_told_work_is_written_where_each_line_by_itself_would_be() -> None:
    for tag in ("H01", "H02", "H03"):
        make.skin(tag)
    batches = [make.batch("B1", tags=["H01", "H02"]), make.batch("B2", start=day(1), tags=["H03"])]
    of, outcomes = Random(5), []  # noqa: S311 - figures, no secret
    for _ in range(RUNS):
        told = told_at_random(of, batches)
        seen: list[list[object] | None] = []
        for write in (one_by_one, together):
            with transaction.atomic():
                try:
                    write(told)
                    seen.append(written())
                except Refused:
                    seen.append(None)
                transaction.set_rollback(True)
            for batch in batches:
                batch.refresh_from_db()
        assert seen[0] == seen[1], told
        outcomes.append(seen[0] is None)
    assert 0 < sum(outcomes) < RUNS, "both are met: what is written and what is refused"
