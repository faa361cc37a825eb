"""Whatever is used, worked, lost and finished: every cent that went into skins is found again, and the books stay clean."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st
from hypothesis.extra.django import TestCase

from costing.make.batches import services as batches_services
from costing.make.batches.issues import services as batches
from costing.make.batches.stays import services as stays_services
from costing.make.finishing import services as articles
from costing.make.labour import services as labour
from costing.make.losses import services as losses
from costing.make.recipes import services as recipes_services
from costing.models import ArticleCost, Batch, LabourLine, Use
from costing.report.audit import selectors as audit
from costing.report.valuation import selectors as stock_value
from inventory.articles.services import Piece
from inventory.errors import Refused
from inventory.ledger import services as ledger
from inventory.models import Kind, Method, Movement, Skin
from inventory.skins import services as skins
from tests import factories
from tests.factories import DAY
from tests.properties import few

TAGS = ("H01", "H02", "H03", "H04")
LATER = DAY + timedelta(days=400)


@dataclass(frozen=True)
class Event:
    kind: str
    day: int
    amount: int
    tags: tuple[str, ...]
    pieces: int


KINDS = (
    *("use", "on skins", "work", "paid", "lose", "finish", "finish a part", "leave", "join", "weigh"),
    *("take back", "take back later", "take back work", "correct", "never there", "never there"),
)

EVENT = st.builds(
    Event,
    kind=st.sampled_from(KINDS),
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
        batches.issue(batch=batch, on=on, amounts=amounts, tags=event.tags)
    elif event.kind == "on skins":
        batches.issue(batch=None, on=on, amounts=amounts, tags=event.tags)
    elif event.kind in ("work", "paid"):
        paid = Decimal(event.amount) / 100 if event.kind == "paid" else Decimal(0)
        minutes = Decimal(1 + event.amount % 600)
        labour.log(on=on, task="lace", minutes=minutes, batch=batch, tags=event.tags, paid=paid)
    elif event.kind == "lose" and first:
        losses.lose(skin=Skin.objects.get(tag=first[0]), on=on, reason="slipped")
    elif event.kind in ("finish", "finish a part"):
        part = Fraction(1 if event.kind == "finish" else Fraction(1, 1 + event.amount % 3), event.pieces)
        cut = [Piece(f"A{number}-{at}", "piece", Method.BARK, share=part) for at in range(event.pieces)]
        articles.finish(on=on, tags=event.tags, pieces=cut)
    elif event.kind == "join":
        stays_services.join(batch=batch, tags=event.tags, on=on)
    elif event.kind == "weigh" and first:
        _weigh(Skin.objects.get(tag=first[0]), Decimal(event.amount))
    elif event.kind == "leave" and first:
        stays_services.leave(batch=batch, skin=Skin.objects.get(tag=first[0]), on=on)
    elif event.kind in ("take back", "take back later"):
        for use in Use.objects.order_by("-pk")[:1]:
            later = max(on, use.posting.on) if event.kind == "take back later" else None
            batches.reverse(use=use, reason="wrong", on=later)
    elif event.kind == "correct":
        for use in Use.objects.order_by("-pk")[:1]:
            batches.correct(use=use, batch=batch, on=on, amounts=amounts, tags=event.tags, wrong="mistaken")
    elif event.kind == "never there" and first:
        skin = Skin.objects.get(tag=first[0])
        stays_services.strike(batch=batch, skin=skin, on=on, reason="wrong tag")
    elif event.kind == "take back work":
        for line in LabourLine.objects.filter(reverses__isnull=True).order_by("-pk")[:1]:
            labour.reverse(line=line)


def _weigh(skin: Skin, amount: Decimal) -> None:
    known = skins.Details(
        skin.species, skin.date_in, price=skin.price, owner=skin.owner, green_weight=amount, wet_area=amount + 1
    )
    skins.describe(skin=skin, details=known)


def _conserved(on: date) -> None:
    """What was put into skins up to a day is found on that day: raw, in work, finished or lost."""
    value = stock_value.at(on)
    bought = sum((row.price for row in Skin.objects.filter(date_in__lte=on)), Decimal(0))
    used = -sum((row.value for row in Movement.objects.filter(kind=Kind.USE, on__lte=on)), Decimal(0))
    paid = sum((row.paid for row in LabourLine.objects.filter(on__lte=on)), Decimal(0))
    held = value.raw_skins + value.in_work + value.finished + value.lost + value.sharing
    assert held == bought + used + paid, on
    figures = 3 + len(TAGS) + ArticleCost.objects.values("split").distinct().count()
    assert abs(value.sharing) <= Decimal("0.005") * figures, on
    assert min(value.raw_skins, value.in_work, value.finished, value.lost) >= 0, on


@pytest.mark.slow
class WorkRules(TestCase):
    @given(st.lists(EVENT, min_size=1, max_size=12), st.sampled_from(Batch.ShareBy.values))
    @settings(max_examples=few(8))
    def test_value_put_into_skins_is_conserved_and_the_books_are_clean(self, run: list[Event], share_by: str) -> None:
        salt = factories.material("SALT", on_hand=60, value="33.67")
        for at, tag in enumerate(TAGS[:-1], start=1):
            factories.skin(tag, price=str(at), green_weight=Decimal(1000 * at), wet_area=Decimal(700 * at))
        factories.skin(TAGS[-1], owner=Skin.Owner.CUSTOMER, price=0, green_weight=Decimal(900), wet_area=Decimal(7000))
        line = recipes_services.Line(salt, Decimal(40), "g", "per_litre")
        version = recipes_services.write(code="R9", method=Method.BARK, lines=[line])
        first, second = (
            batches_services.plan(number=number, version=version, start=DAY, tags=tags, share_by=share_by)
            for number, tags in (("B8", TAGS[:3]), ("B9", ()))
        )
        for number, event in enumerate(run):
            chosen = first if event.amount % 3 else second
            with suppress(Refused):
                _do(Batch.objects.get(pk=chosen.pk), event, number)
        assert audit.findings() == []
        for on in {DAY, DAY + timedelta(days=10), DAY + timedelta(days=20), LATER}:
            _conserved(on)
        used = -sum((row.value for row in Movement.objects.filter(kind=Kind.USE)), Decimal(0))
        assert ledger.lock([salt])[salt.pk].value + used == Decimal("33.67")
