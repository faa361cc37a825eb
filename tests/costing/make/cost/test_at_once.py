"""A piece is finished while somebody else writes a late cost: whoever comes second sees the other's entry, and the books agree.

Each pair is played both ways: the first has written everything and not ended its transaction when the second begins.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection, transaction

from costing.make.batches.issues import services as issues
from costing.make.cost.rates import services as rates
from costing.make.frames.lacings import services as lacings
from costing.make.frames.making import services as frames
from costing.make.labour import services as labour
from costing.make.losses import services as losses
from costing.models import Batch, Frame, LabourLine, Use
from costing.report.audit import selectors as audit
from inventory.models import Article, Skin
from inventory.skins import services as skins
from tests import factories
from tests.at_once import together

pytestmark = [
    pytest.mark.slow,
    pytest.mark.django_db,
    pytest.mark.usefixtures("shared_database"),
    pytest.mark.skipif(connection.vendor == "sqlite", reason="SQLite has one writer at a time"),
]
day = factories.days_from(factories.DAY)
SECONDS = 1.0


def overlapping(first: Callable[[], Any], second: Callable[[], Any]) -> list[Any]:
    """`second` begins when `first` has written; `first` ends when `second` has, or waits for it."""
    written, ended = threading.Event(), threading.Event()

    def one() -> None:
        try:
            with transaction.atomic():
                first()
                written.set()
                ended.wait(SECONDS)
        finally:
            written.set()

    def two() -> None:
        written.wait()
        try:
            second()
        finally:
            ended.set()

    return together(one, two)


@pytest.fixture
def shed(shared_database: None) -> None:
    """Two skins in a batch that shares by weight, with work and alum; one of them on a frame."""
    rates.set_rates(since=day(0), wage_per_hour=Decimal(20), overhead_per_hour=Decimal(3), frame_wear=Decimal(2))
    for tag, weight in (("H1", 3000), ("H2", 5000)):
        factories.skin(tag, green_weight=Decimal(weight))
    alum = factories.material("ALUM", on_hand=20, value=100)
    batch = factories.batch("B1", tags=["H1", "H2"], share_by=Batch.ShareBy.WEIGHT)
    factories.put(batch, alum, 3, on=day(1))
    factories.put(batch, alum, 1, on=day(2))
    factories.work(day(1), 60, batch=batch)
    factories.work(day(2), 45, batch=batch)
    frames.build(number="F1", on=day(0), lacings=4, cost=Decimal(40), minutes=Decimal(30))
    line = factories.work(day(3), 20, task="lace", batch=batch)
    lacings.name(line=line, on_frames={"H1": "F1"})


def finish(*tags: str) -> Callable[[], Any]:
    return lambda: factories.finish(*tags, on=day(4))


def weigh_anew() -> None:
    row = Skin.objects.get(tag="H2")
    said = skins.Details(species=row.species, date_in=row.date_in, price=row.price, green_weight=Decimal(9000))
    skins.describe(skin=row, details=said)


ACTS: dict[str, Callable[[], Any]] = {
    "work of the batch": lambda: factories.work(day(2), 30, batch=Batch.objects.get()),
    "work reversed": lambda: labour.reverse(line=LabourLine.objects.earliest("pk")),
    "material": lambda: factories.put(
        Batch.objects.get(), Use.objects.latest("pk").posting.movements.get().material, 2, on=day(2)
    ),
    "material reversed": lambda: issues.reverse(use=Use.objects.latest("pk"), reason="spilt"),
    "another skin weighed anew": weigh_anew,
    "frame repaired": lambda: frames.repair(frame=Frame.objects.get(), on=day(3), what="cord", cost=Decimal(9)),
    "frame described": lambda: frames.describe(frame=Frame.objects.get(), lacings=2, cost=Decimal(40)),
    "another skin lost": lambda: losses.lose(skin=Skin.objects.get(tag="H2"), on=day(4), reason="slipped", spread=True),
    "another piece finished": finish("H2"),
    "rates of then": lambda: rates.set_rates(
        since=day(0), wage_per_hour=Decimal(31), overhead_per_hour=Decimal(3), frame_wear=Decimal(2)
    ),
}


@pytest.mark.parametrize("finished_first", [True, False], ids=["finished first", "finished second"])
@pytest.mark.parametrize("act", ACTS)
def test_a_late_cost_and_a_finish_at_once_miss_nothing(shed: None, act: str, finished_first: bool) -> None:
    acts = (finish("H1"), ACTS[act]) if finished_first else (ACTS[act], finish("H1"))
    answers = overlapping(*acts)
    assert [answer for answer in answers if answer is not None] == []
    assert Article.objects.filter(number="A-H1").exists()
    assert audit.findings() == []
