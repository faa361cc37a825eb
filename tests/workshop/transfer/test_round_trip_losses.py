"""A loss with its step and who bears it, and pieces judged anew, come back the same."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from costing.make.cost.reallocation import selectors as spread
from costing.make.losses import services as losses
from costing.report.audit import selectors as audit
from costing.report.valuation import selectors as stock_value
from inventory.articles import services as articles
from inventory.base.accounting import services as workshop
from inventory.models import Article, Regrade, Skin
from tests.factories import DAY, batch, finish, piece, skin, work
from tests.workshop.transfer.test_round_trip import passing, round_trip
from workshop.transfer.loading import load

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
LATER = DAY + timedelta(days=3)


def lived_in() -> None:
    workshop.set_up(name="Here")
    workshop.pin_today(on=date(2025, 3, 31))
    for tag in ("A", "B", "C"):
        skin(tag, price=12)
    work(batch=batch(tags=["A", "B", "C"]))
    losses.lose(skin=Skin.objects.get(tag="A"), on=LATER, reason="slipped", step="Bath", spread=True)
    losses.lose(skin=skin("R"), on=LATER, reason="beetle")
    made = finish("B", on=LATER, pieces=[piece("R1", grade="A", area=Decimal(8800))])[0]
    articles.regrade(article=made, grade="B", area=Decimal(8600), on=LATER, note="hole")
    articles.regrade(article=made, grade="C", area=None, on=LATER)


@pytest.mark.thorough
def test_losses_and_judgements_come_back_the_same(tmp_path: Path) -> None:
    before, after = round_trip(lived_in, tmp_path)
    assert before == after
    assert (tmp_path / "A" / "losses.csv").read_text("utf-8").splitlines()[1:] == [
        "2025-03-07,A,slipped,Bath,yes",
        "2025-03-07,R,beetle,,no",
    ]
    assert (tmp_path / "A" / "regrades.csv").read_text("utf-8").splitlines()[1:] == [
        "2025-03-07,R1,B,86,dm2,hole",
        "2025-03-07,R1,C,,dm2,",
    ]
    with passing():
        load(tmp_path / "A")
        row = Article.objects.get()
        assert (row.grade, row.area, row.book_cost) == ("C", None, 18)
        assert [each.skin.tag for each in spread.standing()] == ["A"]
        assert stock_value.at(LATER).lost == 12
        assert Regrade.objects.count() == 2
        assert audit.findings() == []
