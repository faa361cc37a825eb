"""Whatever is used, worked, lost and finished: every cent that went into skins is found again, and the books stay clean."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from costing.models import Batch, LabourLine, Use
from costing.selectors import audit, stock_value
from costing.services import articles, batches, labour, losses
from inventory.errors import Refused
from inventory.models import Kind, Method, Movement, Skin
from inventory.services import ledger
from inventory.services.articles import Piece
from tests import factories
from tests.factories import DAY

TAGS = ("H01", "H02", "H03", "H04")
LATER = DAY + timedelta(days=400)


@dataclass(frozen=True)
class Event:
    kind: str
    day: int
    amount: int
    tags: tuple[str, ...]
    pieces: int


EVENT = st.builds(
    Event,
    kind=st.sampled_from(("use", "on skins", "work", "paid", "lose", "finish", "take back", "take back work", "leave")),
    day=st.integers(0, 30),
    amount=st.integers(1, 4000),
    tags=st.lists(st.sampled_from(TAGS), max_size=3, unique=True).map(tuple),
    pieces=st.integers(1, 3),
)


def _do(batch: Batch, event: Event, number: int) -> None:
    on, material = DAY + timedelta(days=event.day), factories.Material.objects.get(code="SALT")
    amounts = [batches.Amount(material, Decimal(event.amount), "g")]
    first = event.tags[:1]
    if event.kind == "use":
        batches.put_in_work(batch=batch, on=on, amounts=amounts, tags=event.tags)
    elif event.kind == "on skins":
        batches.put_in_work(batch=None, on=on, amounts=amounts, tags=event.tags)
    elif event.kind in ("work", "paid"):
        paid = Decimal(event.amount) / 100 if event.kind == "paid" else Decimal(0)
        minutes = Decimal(1 + event.amount % 600)
        labour.log(on=on, task="lace", minutes=minutes, batch=batch, tags=event.tags, paid=paid)
    elif event.kind == "lose" and first:
        losses.lose(skin=Skin.objects.get(tag=first[0]), on=on, reason="slipped")
    elif event.kind == "finish":
        cut = [
            Piece(f"A{number}-{at}", "piece", Method.BARK, share=Fraction(1, event.pieces))
            for at in range(event.pieces)
        ]
        articles.finish(on=on, tags=event.tags, pieces=cut)
    elif event.kind == "leave" and first:
        batches.leave(batch=batch, skin=Skin.objects.get(tag=first[0]), on=on)
    elif event.kind == "take back":
        for use in Use.objects.order_by("-pk")[:1]:
            batches.take_back(use=use, reason="wrong")
    else:
        for line in LabourLine.objects.filter(reverses__isnull=True).order_by("-pk")[:1]:
            labour.take_back(line=line)


class WorkRules(TestCase):
    @given(st.lists(EVENT, min_size=1, max_size=12), st.sampled_from(Batch.ShareBy.values))
    @settings(max_examples=40)
    def test_value_put_into_skins_is_conserved_and_the_books_are_clean(self, run: list[Event], share_by: str) -> None:
        salt = factories.material("SALT", on_hand=60, value="33.67")
        for at, tag in enumerate(TAGS, start=1):
            factories.skin(tag, price=str(at), green_weight=Decimal(1000 * at), wet_area=Decimal(700 * at))
        line = factories.recipes.Line(salt, Decimal(40), "g", "per_litre")
        version = factories.recipes.write(code="R9", method=Method.BARK, lines=[line])
        batch = batches.plan(
            number="B9", version=version, start=DAY, litres=Decimal(9), tags=TAGS[:3], share_by=share_by
        )
        for number, event in enumerate(run):
            with suppress(Refused):
                _do(Batch.objects.get(pk=batch.pk), event, number)
        value = stock_value.at(LATER)
        used = -sum((row.value for row in Movement.objects.filter(kind=Kind.USE)), Decimal(0))
        paid = sum((row.paid for row in LabourLine.objects.all()), Decimal(0))
        held = value.raw_skins + value.in_work + value.finished + value.lost + value.sharing
        assert held == Decimal(1 + 2 + 3 + 4) + used + paid
        assert abs(value.sharing) <= Decimal("0.005") * (len(TAGS) + 2)
        assert audit.findings() == []
        assert ledger.lock([salt])[salt.pk].value + used == Decimal("33.67")
