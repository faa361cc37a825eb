"""Whatever is made, lost, sold and taken back: the stock told from what is kept is on each day the stock told from all entries."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
from django.core.exceptions import ObjectDoesNotExist
from hypothesis import Phase, example, given, settings, strategies as st
from hypothesis.extra.django import TestCase

from costing.make.cost import selectors as cost
from costing.make.frames.lacings import services as lacings
from costing.make.frames.making import services as frames
from costing.make.losses import services as losses
from costing.make.recipes.services import Step
from costing.make.steps.marks import services as marks
from costing.models import Batch, Sale, SkinCost, StepMark
from costing.report.audit import selectors as audit
from costing.report.audit.stock import selectors as entries
from costing.report.losses import selectors as losses_read
from costing.report.valuation import selectors as valuation
from costing.sell.sales.credits import services as credits
from inventory.errors import Refused
from inventory.models import Article, Move, Skin
from inventory.places.moves import services as moves
from tests import factories
from tests.factories import DAY
from tests.properties import few
from tests.properties.test_work import EVENT, KINDS, TAGS, Event, _do

LAST = 40
# Lost on a day before work that was named to a frame for it.
LOST_BEFORE = [
    Event("lace", day=29, amount=45, tags=(), pieces=2),
    Event("lose spread", day=15, amount=517, tags=(), pieces=1),
]
MORE = (
    "lose spread",
    "spread",
    "found again",
    "sell",
    "sell",
    "scrap",
    "credit",
    "give",
    "move back",
    "lace",
    "done",
    "undone",
)
RUNS = st.lists(
    st.builds(replace, EVENT, kind=st.sampled_from((*KINDS, *MORE, *MORE, "finish", "finish", "use"))),
    min_size=4,
    max_size=14,
)


def _more(batch: Batch, event: Event, number: int) -> None:
    on, tag = DAY + timedelta(days=event.day), (event.tags or TAGS)[0]
    skin = Skin.objects.get(tag=tag)
    piece = Article.objects.order_by("pk")[event.amount % 3 :].first()
    if event.kind == "lose spread":
        losses.lose(skin=skin, on=on, reason="slipped", spread=True)
    elif event.kind == "spread":
        losses.spread(skin=skin, spread=not skin.loss_spread)
    elif event.kind == "found again":
        losses.reverse(skin=skin)
    elif event.kind == "scrap":
        factories.sale(skin, asked=event.pieces, on=on)
    elif event.kind == "credit":
        credits.credit(sale=Sale.objects.exclude(kind="credit").order_by("-pk")[:1].get(), on=on, reason="sent back")
    elif event.kind == "lace":
        line = factories.work(on, event.amount % 90 + 1, task="lace", batch=batch, tags=event.tags)
        lacings.name(line=line, on_frames={tag: f"F{event.pieces}"})
    elif event.kind == "done":
        marks.log(batch=batch, step=batch.version.steps.order_by("position")[event.amount % 2], kind="done", on=on)
    elif event.kind == "undone":
        marks.reverse(mark=StepMark.objects.filter(reversed_at__isnull=True).latest("pk"))
    elif piece is not None and event.kind == "sell":
        factories.sale(piece, on=on)
    elif piece is not None and event.kind == "give":
        moves.out(article=piece, on=on, why=Move.Why.GIVEN)
    elif piece is not None and event.kind == "move back":
        moves.reverse(move=Move.objects.filter(article=piece).latest("pk"))


def _alike(on: date) -> dict[str, Fraction]:
    """The sheet of a day both ways; what left by then, exactly, by all entries."""
    shown, told = valuation.at(on), entries.at(on)
    for name in ("raw_skins", "in_work", "finished", "lost", "sharing", "skins", "books", "works"):
        assert getattr(shown, name) == getattr(told, name), (on, name)
    assert shown.gone == {why: value for why, value in told.gone.items() if value or why in shown.gone}, on
    left = ("in_work", "raw", "finished", "customers")
    return {why: value for why, value in told.exact.items() if why not in left}


@pytest.mark.slow
class KeptRules(TestCase):
    @given(RUNS, st.sampled_from(Batch.ShareBy.values))
    @example(LOST_BEFORE, "weight")
    @settings(max_examples=few(6), phases=[Phase.explicit, Phase.reuse, Phase.generate])
    def test_the_sheet_of_each_day_is_that_of_all_entries(self, run: list[Event], share_by: str) -> None:
        factories.material("SALT", on_hand=60, value="33.67")
        for at, tag in enumerate(TAGS[:-1], start=1):
            factories.skin(tag, price=str(at), green_weight=Decimal(1000 * at), wet_area=Decimal(700 * at))
        factories.skin(TAGS[-1], owner=Skin.Owner.CUSTOMER, price=0, green_weight=Decimal(900), wet_area=Decimal(7000))
        version = factories.recipe("R9", steps=[Step("Bath", lasts_days=2), Step("Oil")])
        first, second = (
            factories.batch(number, version=version, tags=tags, share_by=share_by)
            for number, tags in (("B8", TAGS[:3]), ("B9", ()))
        )
        for number in ("F1", "F2", "F3"):
            frames.build(number=number, on=DAY, lacings=3, cost=Decimal(10))
        for number, event in enumerate(run):
            batch = Batch.objects.get(pk=(first if event.amount % 4 else second).pk)
            with suppress(Refused, ObjectDoesNotExist):
                (_more if event.kind in MORE else _do)(batch, event, number)
        assert audit.findings() == []
        days = [DAY + timedelta(days=nth) for nth in (-1, 0, *range(5, LAST, 7), 400)]
        left = {day: _alike(day) for day in days}
        for eve, last in [*pairwise(days[::2]), (days[0], days[-1])]:
            change = {
                why: left[last].get(why, Fraction(0)) - left[eve].get(why, Fraction(0))
                for why in left[last] | left[eve]
            }
            shown = valuation.left_between(eve, last)
            assert {why: value for why, value in shown.items() if value} == {why: v for why, v in change.items() if v}
        kept = losses_read.fates()
        skins = list(Skin.objects.all())
        shares = {day: cost.skin_shares(skins, day) for day in days}
        SkinCost.objects.all().delete()
        assert shares == {day: cost.skin_shares(skins, day) for day in days}
        assert sorted(_each(kept)) == sorted(_each(losses_read.fates()))


def _each(fates: list[losses_read.Fate]) -> list[tuple[object, ...]]:
    """A row for each skin, whoever was counted together."""
    return [(fate.stages, fate.lost_at, fate.species, fate.supplier) for fate in fates for _ in range(fate.count)]
