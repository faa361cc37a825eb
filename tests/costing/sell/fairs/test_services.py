"""Fairs: what is packed is known, and after the fair every piece of the list was sold or is back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction

from costing.models import Fair, FairPiece
from costing.sell.fairs import services as fairs
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused
from inventory.models import Article, Move, Place
from inventory.places.moves import services as moves
from tests import factories as make
from tests.factories import DAY, days_from

pytestmark = pytest.mark.django_db
D = Decimal
day = days_from(DAY)


def plan(name: str = "Spring fair", nth: int = 10, **details: Any) -> Fair:
    return fairs.plan(**{"name": name, "on": day(nth), "place": make.place("Fair box", Place.Kind.VAN), **details})


def refused(act: Callable[[], object], match: str, field: str | None = None) -> None:
    """The refusal, with proof that nothing was packed, moved or closed."""

    def written() -> list[Any]:
        places = list(Article.objects.order_by("pk").values_list("place", flat=True))
        return [Move.objects.count(), places, list(Fair.objects.values()), list(FairPiece.objects.values())]

    before = written()
    with pytest.raises(Refused, match=match) as refusal, transaction.atomic():
        act()
    assert written() == before
    if field:
        assert refusal.value.field == field


def place_of(article: Article) -> str:
    return str(Article.objects.get(pk=article.pk).place)


def test_a_fair_is_planned_ahead_and_once_a_day() -> None:
    fair = plan(stall_minutes=D(420), note="bring the tent")
    assert (fair.stall_minutes, fair.closed_on) == (420, None)
    refused(lambda: plan("SPRING fair"), "is entered already", "name")
    assert plan(nth=11)


@pytest.mark.parametrize(
    ("given", "match", "field"),
    [
        ({"name": " "}, "The name is missing", "name"),
        ({"name": "a\x07"}, "control character", "name"),
        ({"on": date(2999, 1, 1)}, "too far in the future", "on"),
        ({"stall_minutes": D(-1)}, "negative", "stall_minutes"),
        ({"stall_minutes": D("0.0001")}, "decimals", "stall_minutes"),
        ({"stall_minutes": D(20161)}, "more than 14 days", "stall_minutes"),
    ],
)
def test_a_fair_that_cannot_be_is_refused(given: dict[str, Any], match: str, field: str) -> None:
    refused(lambda: plan(**given), match, field)


def test_packed_pieces_are_on_the_list_and_in_the_box() -> None:
    fair, rugs = plan(), [make.article("A1"), make.article("A2")]
    fairs.pack(fair=fair, articles=rugs, on=day(9))
    assert [place_of(rug) for rug in rugs] == ["Fair box"] * 2
    assert set(fair.pieces.values_list("article__number", "back")) == {("A1", False), ("A2", False)}


def test_a_fair_without_a_place_has_a_list_alone() -> None:
    fair, rug = plan(place=None), make.article()
    fairs.pack(fair=fair, articles=[rug], on=day(9))
    assert (Move.objects.count(), fair.pieces.count()) == (0, 1)


def test_what_is_not_here_to_sell_stays_off_the_list() -> None:
    fair, box = plan(), make.place("Room", Place.Kind.GALLERY)
    make.job("J-01")
    rug, gone, away, late = (make.article(f"A{nth}") for nth in range(4))
    make.sale(gone)
    moves.move(thing=away, to=box, on=DAY)
    Article.objects.filter(pk=late.pk).update(finished_on=day(12))
    theirs = Article.objects.get(customers=True)
    for article, match in (
        (theirs, "is a customer's own"),
        (gone, f"A1 left on {DAY}"),
        (away, "A2 is at Room on sale or return. Move it back first"),
        (late, f"A3 was finished on {day(12)}"),
    ):
        refused(lambda article=article: fairs.pack(fair=fair, articles=[rug, article], on=day(9)), match)
    refused(lambda: fairs.pack(fair=fair, articles=[], on=day(9)), "Tick at least one", "articles")
    fairs.pack(fair=fair, articles=[rug], on=day(9))
    refused(lambda: fairs.pack(fair=fair, articles=[rug], on=day(9)), "A0 is on the list already")


def test_a_piece_is_on_one_open_list() -> None:
    one, other, rug = plan(), plan("Other fair", 20), make.article()
    fairs.pack(fair=one, articles=[rug], on=day(9))
    refused(lambda: fairs.pack(fair=other, articles=[rug], on=day(19)), "is on the list of Spring fair.*Count it back")
    fairs.close(fair=one, on=day(10), back=[rug], to=None)
    assert fairs.pack(fair=other, articles=[rug], on=day(19))


def test_after_the_fair_everything_was_sold_or_is_back() -> None:
    fair, shelf = plan(), make.place("Shelf")
    rugs = [make.article(f"A{nth}") for nth in range(3)]
    fairs.pack(fair=fair, articles=rugs, on=day(9))
    make.sale(rugs[0], on=day(10), fair=fair)
    moves.out(article=rugs[1], on=day(10), why="spoiled")
    fairs.close(fair=fair, on=day(10), back=rugs[2:], to=shelf, stall_minutes=D(540))
    fair.refresh_from_db()
    assert (fair.closed_on, fair.stall_minutes) == (day(10), 540)
    assert place_of(rugs[2]) == "Shelf"
    assert set(fair.pieces.values_list("article__number", "back")) == {("A0", False), ("A1", False), ("A2", True)}


def test_a_count_that_does_not_fit_names_each_piece_and_writes_nothing() -> None:
    fair = plan()
    rugs = [make.article(f"A{nth}") for nth in range(3)]
    fairs.pack(fair=fair, articles=rugs[:2], on=day(9))
    make.sale(rugs[0], on=day(10), fair=fair)

    def close(*back: Article) -> Callable[[], object]:
        return lambda: fairs.close(fair=fair, on=day(10), back=back, to=None)

    refused(close(), "A1 went to the fair and is neither sold nor back: enter its sale, tick it, or write it", "back")
    refused(close(rugs[1], rugs[2]), "A2 is ticked as back but was not packed", "back")
    refused(close(rugs[0], rugs[1]), "A0 is sold and ticked as back; it cannot be both", "back")


def test_nothing_is_back_before_the_fair() -> None:
    fair = plan()
    refused(lambda: fairs.close(fair=fair, on=day(9), back=[], to=None), f"is on {day(10)}; nothing can be back", "on")


def test_a_closed_fair_stays_as_it_was_counted() -> None:
    fair = plan()
    fairs.close(fair=fair, on=day(10), back=[], to=None)
    rug = make.article()
    for act in (
        lambda: fairs.pack(fair=fair, articles=[rug], on=day(10)),
        lambda: fairs.close(fair=fair, on=day(10), back=[], to=None),
        lambda: fairs.take_over(fair=fair, packed=[rug]),
    ):
        refused(act, f"was counted back on {day(10)} and is closed")


def test_a_list_of_earlier_is_taken_over_without_a_move() -> None:
    rugs = [make.article(f"A{nth}") for nth in range(2)]
    fair = fairs.take_over(fair=plan(), packed=rugs, back=rugs[1:], closed_on=day(10))
    assert (fair.closed_on, Move.objects.count(), fair.pieces.filter(back=True).count()) == (day(10), 0, 1)
    other = plan("Other fair")
    make.job("J-01")
    for given, match in (
        ({"packed": [Article.objects.get(customers=True)]}, "is a customer's own"),
        ({"packed": rugs[:1], "back": rugs[1:], "closed_on": day(10)}, "A1 came back but was not packed"),
        ({"packed": rugs, "back": rugs}, "Say on which day"),
        ({"packed": [*rugs, rugs[0]]}, "A0 is on the list twice"),
    ):
        refused(lambda given=given: fairs.take_over(fair=other, **given), match)


def test_closed_books_do_not_hold_back_packing_which_moves_no_value() -> None:
    fair, rug = plan(), make.article()
    workshop.close_books(to=day(30))
    fairs.pack(fair=fair, articles=[rug], on=day(9))
    assert fairs.close(fair=fair, on=day(10), back=[rug], to=None).closed_on == day(10)


@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_who_does_not_set_prices_plans_packs_and_closes_nothing(role: str) -> None:
    by, fair, rug = make.person(role), plan(), make.article()
    for act in (
        lambda: plan("Other", by=by),
        lambda: fairs.pack(fair=fair, articles=[rug], on=day(9), by=by),
        lambda: fairs.close(fair=fair, on=day(10), back=[], to=None, by=by),
        lambda: fairs.take_over(fair=fair, packed=[rug], by=by),
    ):
        with pytest.raises(NotAllowed):
            act()


def test_one_key_plans_packs_and_closes_once() -> None:
    fair = plan(request_key="a")
    assert plan(request_key="a") == fair
    rug = make.article()
    for _ in range(2):
        fairs.pack(fair=fair, articles=[rug], on=day(9), request_key="b")
    for _ in range(2):
        fairs.close(fair=fair, on=day(10), back=[rug], to=None, request_key="c")
    assert (Fair.objects.count(), FairPiece.objects.count(), Move.objects.count()) == (1, 1, 2)
    with pytest.raises(Refused, match="sent before for something else"):
        fairs.pack(fair=fair, articles=[rug], on=day(9), request_key="a")
