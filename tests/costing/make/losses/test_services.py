from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from costing.make.cost import selectors as costs
from costing.make.labour import services as labour
from costing.make.losses import services as losses
from costing.models import Batch, BatchSkin
from costing.report.audit import selectors as audit
from costing.report.valuation import selectors as stock_value
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, Refused
from inventory.models import Skin
from inventory.skins import services as skins
from tests.factories import DAY, batch, days_from, finish, material, piece, put, skin, work

pytestmark = pytest.mark.django_db
D, F = Decimal, Fraction
day = days_from(DAY)


def lose(tag: str, on: date, **options: str) -> Skin:
    return losses.lose(skin=Skin.objects.get(tag=tag), on=on, reason="hair slip", **options)


def book(tag: str) -> Fraction:
    return costs.skin_shares(Skin.objects.filter(tag=tag))[tag].book()


def test_a_lost_skin_keeps_what_it_had_borne_and_takes_no_later_cost() -> None:
    for tag in ("H04", "H05", "H06"):
        skin(tag, price=0)
    bath, salt = batch(tags=["H04", "H05", "H06"]), material("SALT", on_hand=100, value=100)
    put(bath, salt, 6, day(0))
    lost = lose("H05", day(14))
    put(bath, salt, 10, day(19))
    assert (lost.stage, lost.lost_on, lost.lost_reason) == ("lost", day(14), "hair slip")
    assert (book("H04"), book("H05"), book("H06")) == (F(7), F(2), F(7))
    assert audit.findings() == []


def test_the_day_of_the_loss_still_counts() -> None:
    for tag in ("H01", "H02"):
        skin(tag, price=0)
    bath = batch(tags=["H01", "H02"])
    work(batch=bath)
    lose("H01", day(0))
    put(bath, material(on_hand=10, value=10), 10, day(0))
    assert (book("H01"), book("H02")) == (F(5), F(5))


def test_a_loss_written_late_moves_the_costs_since_to_the_others() -> None:
    for tag in ("H01", "H02"):
        skin(tag, price=0)
    bath = batch(tags=["H01", "H02"])
    put(bath, material(on_hand=10, value=10), 10, day(5))
    article = finish("H02", on=day(6))[0]
    lose("H01", day(3))
    article.refresh_from_db()
    assert (article.cost.book, article.cost.late_book, article.book_cost) == (D(5), D(5), D(10))
    assert book("H01") == 0
    assert audit.findings() == []


def test_what_was_lost_leaves_the_stock_and_is_counted_as_lost() -> None:
    skin("H01", price=35)
    put(None, material(on_hand=1, value="1.82"), 1, tags=["H01"])
    lose("H01", day(2))
    before, after = stock_value.at(day(1)), stock_value.at(day(2))
    assert (before.raw_skins, before.lost) == (D("36.82"), 0)
    assert (after.raw_skins, after.lost) == (0, D("36.82"))


def test_the_last_skin_lost_ends_the_batch() -> None:
    skin("H01")
    work(batch=batch(tags=["H01"]))
    lose("H01", day(1))
    assert Batch.objects.get().state == "done"
    assert audit.findings() == []


def test_a_skin_lost_before_its_planned_batch_begins_is_crossed_off() -> None:
    skin("H01")
    batch(tags=["H01"], start=day(30))
    lose("H01", day(1))
    assert not BatchSkin.objects.exists()
    assert audit.findings() == []


def test_a_skin_is_not_lost_before_it_came_or_joined() -> None:
    skin("H01", date_in=day(2))
    with pytest.raises(Refused, match="cannot be lost before"):
        lose("H01", day(1))
    work(day(5), batch=batch(tags=["H01"], start=day(5)))
    with pytest.raises(Refused, match="joined B1 on"):
        lose("H01", day(4))
    assert Skin.objects.get().stage == "in_work"


def test_a_skin_is_not_lost_before_work_on_it_by_name() -> None:
    skin("H01")
    line = work(day(5), tags=["H01"])
    with pytest.raises(Refused, match="are written on H01 after"):
        lose("H01", day(4))
    labour.reverse(line=line)
    assert lose("H01", day(4))


def test_nothing_is_named_for_a_skin_after_its_loss() -> None:
    skin("H01")
    lose("H01", day(1))
    salt = material(on_hand=1)
    with pytest.raises(Refused, match="was lost on"):
        put(None, salt, 1, day(2), tags=["H01"])
    with pytest.raises(Refused, match="was lost on"):
        work(day(2), tags=["H01"])
    assert put(None, salt, 1, day(1), tags=["H01"])


def test_a_skin_is_lost_once() -> None:
    skin("H01")
    assert lose("H01", day(1), request_key="k") == lose("H01", day(1), request_key="k")
    with pytest.raises(Refused, match="was written off on"):
        lose("H01", day(1))


def test_the_key_of_the_arrival_is_not_the_key_of_the_loss() -> None:
    skin("H01")
    skins.take_in(tag="H02", details=skins.Details(species="Goat", date_in=DAY), request_key="k")
    with pytest.raises(Refused, match="sent before for something else"):
        lose("H02", day(1), request_key="k")
    assert Skin.objects.get(tag="H02").stage == "raw"


def test_what_is_made_into_an_article_is_lost_with_it() -> None:
    for tag in ("H01", "H02"):
        skin(tag)
    finish("H01")
    finish("H02", pieces=[piece("A2", "1/3")])
    for tag, number in (("H01", "A-H01"), ("H02", "A2")):
        with pytest.raises(Refused, match=f"{tag} is made into {number}"):
            lose(tag, day(1))


def test_a_loss_needs_a_reason_and_an_open_day() -> None:
    one = skin("H01")
    with pytest.raises(Refused, match="The reason is missing"):
        losses.lose(skin=one, on=DAY, reason=" ")
    workshop.close_books(to=day(1))
    with pytest.raises(ClosedPeriod):
        lose("H01", day(1))
