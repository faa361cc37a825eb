"""Judging a finished piece anew: what it was stays on record, its cost does not move."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.articles import services as articles
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused
from inventory.models import Article, Regrade
from inventory.places.moves import services as moves
from tests import factories
from tests.factories import DAY, finish, piece, skin
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal
LATER = DAY + timedelta(days=3)


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 3, 31))


def rug() -> Article:
    skin("H01")
    return finish("H01", pieces=[piece("R1", grade="A", area=D(8800))])[0]


def test_what_it_was_stays_and_its_cost_does_not_move() -> None:
    article = rug()
    articles.regrade(article=article, grade="B", area=D(8600), on=LATER, note="a hole came through")
    articles.regrade(article=article, grade="C", area=None, on=LATER)
    rows = Regrade.objects.values_list("was_grade", "was_area", "grade", "area", "note")
    assert list(rows) == [("A", 8800, "B", 8600, "a hole came through"), ("B", 8600, "C", None, "")]
    article.refresh_from_db()
    assert (article.grade, article.area, article.book_cost) == ("C", None, 12)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"grade": "A", "area": D(8800)}, "that grade and area already"),
        ({"area": D(0)}, "The area"),
        ({"on": DAY - timedelta(days=1)}, "R1 was finished on 2025-03-04"),
        ({"grade": "a\x07"}, "control character"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(wrong: dict[str, object], said: str) -> None:
    with pytest.raises(Refused, match=said):
        articles.regrade(**{"article": rug(), "grade": "B", "area": D(8600), "on": LATER, **wrong})
    assert not Regrade.objects.exists()


def test_no_day_goes_before_the_last_judgement() -> None:
    article = rug()
    articles.regrade(article=article, grade="B", area=None, on=LATER)
    with pytest.raises(Refused, match="R1 was judged on 2025-03-07"):
        articles.regrade(article=article, grade="C", area=None, on=DAY)


def test_a_piece_that_left_stays_as_it_went() -> None:
    article = rug()
    moves.out(article=article, on=LATER, why="given")
    with pytest.raises(Refused, match="R1 left on"):
        articles.regrade(article=article, grade="B", area=None, on=LATER)


def test_sent_twice_it_is_judged_once_and_a_helper_does_not_judge() -> None:
    article = rug()
    for _ in range(2):
        articles.regrade(article=article, grade="B", area=None, on=LATER, request_key="k")
    assert Regrade.objects.count() == 1
    with pytest.raises(NotAllowed):
        articles.regrade(article=article, grade="C", area=None, on=LATER, by=factories.person("helper"))


def test_the_page_takes_it_in_any_unit_and_the_piece_tells_its_story() -> None:
    client = signed_in()
    rug()
    address = reverse("article_regrade", args=["R1"])
    assert 'value="88"' in text(client.get(address))
    form = {"grade": "B", "area": "86", "area_unit": "dm2", "on": "2025-03-07", "note": "hole", "request_key": "k"}
    shown = text(client.post(address, form, follow=True))
    assert "Grade or area changed" in shown
    assert "hole" in shown
    assert Article.objects.get().area == 8600


@pytest.mark.thorough
def test_the_piece_takes_as_many_queries_for_thirty_judgements_as_for_one() -> None:
    article = rug()
    address = reverse("article", args=["R1"])
    articles.regrade(article=article, grade="B", area=None, on=LATER)
    one = queries(signed_in(), address)
    for number in range(29):
        articles.regrade(article=article, grade=f"C{number}", area=None, on=LATER)
    assert queries(signed_in(), address) == one
