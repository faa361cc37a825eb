"""More work on a finished piece is late cost; a piece that left takes none."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.batches.issues.services import Amount
from costing.make.cost.rates import services as rates
from costing.make.finishing import services as rework
from costing.models import LabourLine, Use
from costing.report.audit import selectors as audit
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused, ShortStock
from inventory.models import Article
from inventory.places.moves import services as moves
from tests import factories
from tests.factories import DAY, finish, material, piece, skin
from tests.inventory.pages import lines, signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal
LATER = DAY + timedelta(days=9)


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 3, 31))
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D(0))


def cushion() -> Article:
    for tag in ("H10", "H11"):
        skin(tag, price=5)
    return finish("H10", "H11", pieces=[piece("C1")])[0]


def test_what_is_put_on_a_joined_piece_is_its_late_cost_whole() -> None:
    thread = material("THREAD", "m", on_hand=10, value=4)
    made = rework.more(article=cushion(), on=LATER, task="line it", minutes=D(30), amounts=[Amount(thread, D(5), "m")])
    assert (made.cost.late_book, made.cost.late_full, made.book_cost) == (D(2), D(12), D(12))
    assert LabourLine.objects.get().task == "C1: line it"
    assert Use.objects.get().posting.reason == "C1: line it"
    assert audit.findings() == []


def test_pieces_of_one_skin_share_what_is_put_on_one_of_them() -> None:
    skin("H08", price=9)
    made = finish("H08", pieces=[piece(f"P{at}", "1/3") for at in (1, 2, 3)])
    rework.more(article=made[0], on=LATER, task="sew", amounts=[Amount(material(on_hand=1, value=3), D(1), "kg")])
    assert set(Article.objects.values_list("book_cost", flat=True)) == {D(4)}
    assert audit.findings() == []


def test_all_or_nothing_is_written() -> None:
    article, empty = cushion(), material("THREAD", "m")
    with pytest.raises(ShortStock):
        rework.more(article=article, on=LATER, task="line", minutes=D(9), amounts=[Amount(empty, D(1), "m")])
    for wrong, said in (
        ({"task": " ", "minutes": D(1)}, "What was done"),
        ({"task": "line"}, "Nothing was entered"),
        ({"task": "line", "minutes": D(0)}, "The minutes"),
        ({"task": "line", "minutes": D(1), "on": DAY - timedelta(days=1)}, "was finished on"),
    ):
        with pytest.raises(Refused, match=said):
            rework.more(**{"article": article, "on": LATER, **wrong})
    assert not LabourLine.objects.exists()


def test_a_piece_that_left_takes_no_more_work() -> None:
    article = cushion()
    moves.out(article=article, on=LATER, why="given")
    with pytest.raises(Refused, match="C1 left on"):
        rework.more(article=article, on=LATER, task="line", minutes=D(1))


def test_sent_twice_it_is_written_once() -> None:
    article = cushion()
    for _ in range(2):
        rework.more(article=article, on=LATER, task="line", minutes=D(30), request_key="k")
    assert LabourLine.objects.count() == 1


def test_the_bookkeeper_works_on_no_piece() -> None:
    with pytest.raises(NotAllowed):
        rework.more(article=cushion(), on=LATER, task="line", minutes=D(1), by=factories.person("bookkeeper"))


def test_the_page_writes_it_and_the_piece_shows_it_as_late() -> None:
    client: Client = signed_in()
    cushion()
    thread = material("THREAD", "m", on_hand=10, value=4)
    address = reverse("article_work", args=["C1"])
    assert client.get(address).status_code == 200
    form = {"on": LATER.isoformat(), "task": "line it", "minutes": "30", "request_key": "k"}
    answer = client.post(address, form | lines({"material": str(thread.pk), "amount": "5", "unit": ""}), follow=True)
    assert "2.00 € book and 12.00 € full were written after it was finished" in text(answer)
    short = client.post(
        address, form | lines({"material": str(thread.pk), "amount": "99", "unit": ""}) | {"request_key": "m"}
    )
    assert "on the shelf" in text(short)


def test_the_page_names_those_that_share_it() -> None:
    skin("H08", price=9)
    finish("H08", pieces=[piece(f"P{at}", "1/3") for at in (1, 2, 3)])
    assert "A share of it is allocated to P2, P3 of the same skin." in text(
        signed_in().get(reverse("article_work", args=["P1"]))
    )
