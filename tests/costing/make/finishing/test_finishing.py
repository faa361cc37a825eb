from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from costing.make.batches.stays import services as batches
from costing.make.cost.rates import services as rates
from costing.make.finishing import services as articles
from costing.make.losses import services as losses
from costing.models import ArticleCost, Batch
from costing.report.audit import selectors as audit
from costing.report.valuation import selectors as stock_value
from inventory.articles import services as things
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, Refused, Taken
from inventory.models import Article, Skin
from tests.factories import DAY, batch, days_from, finish, material, piece, put, skin, work

pytestmark = pytest.mark.django_db
D, F = Decimal, Fraction
day = days_from(DAY)


def books(made: list[Article]) -> list[Decimal]:
    return [article.book_cost for article in made]


def clean() -> None:
    assert audit.findings() == []


def test_one_skin_becomes_one_article_with_its_cost_frozen_part_by_part() -> None:
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D("1.52"))
    skin("H01", price=12)
    bath = batch(tags=["H01"])
    put(bath, material("SALT", on_hand=1, value="8.23"), 1)
    work(minutes=480, batch=bath)
    work(minutes=15, batch=bath, task="lace")
    work(minutes=60, batch=bath, who="Anna", paid=D(10))
    article = finish("H01", on=day(2))[0]
    cost = article.cost
    assert (cost.skin_price, cost.materials, cost.paid_help) == (D(12), D("8.23"), D(10))
    assert (cost.minutes, cost.own_minutes, cost.laces) == (D(555), D(495), D(1))
    # 30.23 + 8.25 h x 16 + 9.25 h x 4 + 1.52
    assert (cost.book, cost.full, article.book_cost) == (D("30.23"), D("200.75"), D("30.23"))
    assert (Skin.objects.get().stage, Batch.objects.get().state) == ("finished", "done")
    clean()


def test_later_rates_do_not_touch_a_finished_article() -> None:
    rates.set_rates(wage_per_hour=D(16))
    skin("H01", price=0)
    work(minutes=60, tags=["H01"])
    finish("H01")
    rates.set_rates(wage_per_hour=D(20))
    work(minutes=60, tags=["H01"])
    cost = ArticleCost.objects.get()
    assert (cost.full, cost.late_full) == (D(16), D(16))
    clean()


def test_three_pouches_of_one_skin_bear_a_third_each_and_lose_no_cent() -> None:
    skin("H08", price="37.85")
    made = finish("H08", pieces=[piece(f"P{n}", "1/3") for n in range(1, 4)])
    assert books(made) == [D("12.61"), D("12.62"), D("12.62")]
    assert {article.cost.skin_price for article in made} == {D("12.616666667")}
    assert {article.cost.split for article in made} == {"P1"}
    clean()


def test_pieces_of_unlike_size_bear_what_they_are_given() -> None:
    skin("H08", price=10)
    assert books(finish("H08", pieces=[piece("P1", "1/2"), piece("P2", "3/10"), piece("P3", "1/5")])) == [5, 3, 2]


def test_two_skins_join_into_one_article() -> None:
    skin("H10", price="1.50")
    skin("H11", price="1.50")
    put(None, material(on_hand=1, value="6.29"), 1, tags=["H10", "H11"])
    (cushion,) = finish("H10", "H11")
    assert cushion.book_cost == D("9.29")
    assert [part.skin.tag for part in cushion.parts.order_by("pk")] == ["H10", "H11"]
    assert set(Skin.objects.values_list("stage", flat=True)) == {"finished"}
    clean()


def test_two_skins_become_three_pieces() -> None:
    skin("H10", price="1.00")
    skin("H11", price="1.00")
    assert books(finish("H10", "H11", pieces=[piece(f"P{n}", "1/3") for n in range(3)])) == [
        D("0.66"),
        D("0.67"),
        D("0.67"),
    ]
    clean()


def test_a_skin_named_twice_counts_once() -> None:
    skin("H10", price=2)
    assert books(finish("H10", "H10")) == [2]


def test_the_rest_of_a_skin_stays_in_work_until_it_is_finished_too() -> None:
    skin("H08", price="10.00")
    bath = batch(tags=["H08"])
    put(bath, material(on_hand=2, value="2.00"), 1)
    first = finish("H08", on=day(1), pieces=[piece("P1", "1/3")])
    assert (Skin.objects.get().stage, Batch.objects.get().state, books(first)) == ("in_work", "in_work", [D("3.67")])
    value = stock_value.at(day(1))
    assert (value.in_work, value.finished) == (D("7.33"), D("3.67"))
    clean()
    second = finish("H08", on=day(2), pieces=[piece("P2", "2/3")])
    assert (Skin.objects.get().stage, Batch.objects.get().state, books(second)) == ("finished", "done", [D("7.33")])
    clean()


@pytest.mark.parametrize(
    ("shares", "said"),
    [
        (["4/3"], "1 of it is free"),
        (["1/2", "2/3"], "The pieces take 7/6 of H01"),
        (["0"], "as a fraction above 0"),
        (["-1/3", "4/3"], "as a fraction above 0"),
        (["1/10001"], "at most 10000 parts"),
    ],
)
def test_shares_of_a_skin_add_up_to_one_at_most(shares: list[str], said: str) -> None:
    skin("H01")
    with pytest.raises(Refused, match=said) as refusal:
        finish("H01", pieces=[piece(f"P{place}", share) for place, share in enumerate(shares)])
    assert refusal.value.field == "share"
    assert not Article.objects.exists()


def test_shares_taken_before_count_too() -> None:
    skin("H01")
    finish("H01", pieces=[piece("P1", "1/2")])
    with pytest.raises(Refused, match="The pieces take 2/3 of H01, but 1/2 of it is free"):
        finish("H01", pieces=[piece("P2", "2/3")])


def test_a_customers_skin_does_not_go_into_one_article_with_the_makers() -> None:
    skin("H01")
    skin("H06", owner="customer", price=0)
    with pytest.raises(Refused, match="H01 is your own, H06 is a customer's: one piece cannot be made of both"):
        finish("H01", "H06")
    assert not Article.objects.exists()


def test_an_article_of_a_customers_skin_is_the_customers() -> None:
    skin("H06", owner="customer", price=0)
    put(None, material(on_hand=1, value="9.70"), 1, tags=["H06"])
    (made,) = finish("H06")
    assert (made.customers, made.book_cost) == (True, D("9.70"))
    value = stock_value.at(DAY)
    assert (value.finished, value.in_work) == (0, D("9.70"))
    clean()


def test_lost_skins_and_strangers_are_not_finished() -> None:
    one = skin("H01")
    losses.lose(skin=one, on=day(1), reason="slip")
    with pytest.raises(Refused, match="H01 was lost on"):
        finish("H01", on=day(2))
    with pytest.raises(Refused, match="No skin has the tag H99"):
        finish("H99")


def test_nothing_is_finished_before_it_came_or_joined() -> None:
    skin("H01", date_in=day(2))
    with pytest.raises(Refused, match="came in on"):
        finish("H01", on=day(1))
    work(day(5), batch=batch(tags=["H01"], start=day(5)))
    with pytest.raises(Refused, match="joined its batch on"):
        finish("H01", on=day(4))


def test_skins_and_pieces_must_be_named() -> None:
    skin("H01")
    for tags, pieces in (([], [piece("A1")]), (["H01"], [])):
        with pytest.raises(Refused, match="at least one skin and one piece"):
            articles.finish(on=DAY, tags=tags, pieces=pieces)


def test_nothing_is_finished_on_a_closed_day() -> None:
    skin("H01")
    workshop.close_books(to=DAY)
    with pytest.raises(ClosedPeriod):
        finish("H01")


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"number": "A 1"}, "number"),
        ({"kind": ""}, "kind"),
        ({"kind": "a\x07"}, "kind"),
        ({"method": "magic"}, "method"),
        ({"area": D(0)}, "area"),
        ({"area": D("1.2345")}, "area"),
        ({"grade": "x" * 13}, "grade"),
        ({"list_price": D(0)}, "list_price"),
        ({"list_price": D("1.005")}, "list_price"),
    ],
)
def test_a_piece_that_cannot_be_is_refused_and_nothing_is_finished(given: dict[str, object], field: str) -> None:
    skin("H01")
    with pytest.raises(Refused) as refusal:
        finish("H01", pieces=[piece("A1", "1/2"), piece(**{"number": "A2", "share": "1/2", **given})])  # type: ignore[arg-type]
    assert refusal.value.field == field
    assert (Article.objects.count(), Skin.objects.get().stage) == (0, "raw")


def test_an_article_number_is_taken_in_any_spelling() -> None:
    skin("H01")
    finish("H01", pieces=[piece("A1", "1/2")])
    with pytest.raises(Taken, match="The article number a1"):
        finish("H01", pieces=[piece("a1", "1/2")])


def test_a_form_sent_twice_answers_with_the_same_pieces() -> None:
    skin("H01")
    pieces = [piece("P1", "1/2"), piece("P2", "1/2")]
    first, second = (articles.finish(on=DAY, tags=["H01"], pieces=pieces, request_key="k") for _ in range(2))
    assert first == second
    assert Article.objects.count() == 2


def test_a_skin_finished_out_of_a_plan_is_crossed_off_it() -> None:
    skin("H01")
    bath = batch(tags=["H01"], start=day(9))
    finish("H01", on=day(1))
    assert not bath.stays.exists()
    clean()


def test_a_skin_finished_before_work_already_written_leaves_that_work_to_the_others() -> None:
    for tag in ("H01", "H02"):
        skin(tag, price=0)
    bath = batch(tags=["H01", "H02"])
    put(bath, material(on_hand=10, value=10), 10, day(5))
    other = finish("H02", on=day(6))[0]
    (first,) = finish("H01", on=day(3))
    other.refresh_from_db()
    assert (first.book_cost, other.book_cost, other.cost.late_book) == (0, D(10), D(5))
    clean()


def test_a_price_is_set_and_taken_off() -> None:
    skin("H01")
    (made,) = finish("H01")
    assert things.set_price(article=made, list_price=D("185.00")).list_price == D(185)
    assert things.set_price(article=made, list_price=None).list_price is None
    for wrong in ("0", "-1", "1.005", "NaN"):
        with pytest.raises(Refused, match="The list price"):
            things.set_price(article=made, list_price=D(wrong))


def test_leaving_for_another_batch_keeps_what_was_borne_in_both() -> None:
    one = skin("H01", price=0)
    salt = material("SALT", on_hand=10, value=10)
    first = batch("B1", tags=["H01"])
    put(first, salt, 2)
    batches.leave(batch=first, skin=one, on=day(1))
    put(batch("B2", tags=["H01"], start=day(1)), salt, 3, day(2))
    assert books(finish("H01", on=day(3))) == [5]
    clean()
