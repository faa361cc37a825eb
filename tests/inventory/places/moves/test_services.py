"""Where things are: every move is kept, a piece is here or gone as its last move says, and each refusal names a way out."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, NotAllowed, Refused
from inventory.models import Article, Move, Place
from inventory.places.moves import selectors as read, services as moves
from inventory.skins import services as skins
from tests import factories as make
from tests.factories import DAY, days_from

pytestmark = pytest.mark.django_db
Act = Callable[[], object]
day = days_from(DAY)


def stands(article: Article) -> tuple[str, date | None, str]:
    row = Article.objects.get(pk=article.pk)
    return (row.place.name if row.place else "", row.gone_on, row.gone_why)


def van() -> Place:
    return make.place("Van", Place.Kind.VAN)


def test_a_piece_goes_from_place_to_place_and_both_are_kept() -> None:
    rug = make.article(place=make.place("Shelf"))
    moved = moves.move(thing=rug, to=van(), on=day(1), note="for the fair")
    assert (str(moved.origin), str(moved.to), moved.why) == ("Shelf", "Van", "moved")
    assert stands(rug) == ("Van", None, "")
    moves.move(thing=rug, to=None, on=day(1))
    assert stands(rug) == ("", None, "")


def test_skins_and_materials_move_too() -> None:
    for thing in (make.skin("H01"), make.material()):
        moves.move(thing=thing, to=van(), on=day(1))
        thing.refresh_from_db()
        assert thing.place == van()
        assert read.of(thing).get().to == van()


@pytest.mark.parametrize("why", ["given", "own_use", "spoiled", "missing"])
def test_a_piece_leaves_by_hand_and_is_no_longer_held(why: str) -> None:
    rug = make.article(place=van())
    gone = moves.out(article=rug, on=day(3), why=why)
    assert (gone.origin, gone.to) == (van(), None)
    assert stands(rug) == ("", day(3), why)
    assert list(read.held_on(day(2))) == [rug]
    assert list(read.held_on(day(3))) == []


@pytest.mark.parametrize("why", ["sold", "delivered", "returned", "moved", "lost"])
def test_what_is_sold_leaves_by_its_sale_only(why: str) -> None:
    with pytest.raises(Refused, match="or by a sale"):
        moves.out(article=make.article(), on=DAY, why=why)


def test_what_is_gone_neither_moves_nor_leaves_again() -> None:
    rug = make.article()
    moves.out(article=rug, on=day(1), why="given")
    acts: list[Act] = [
        lambda: moves.move(thing=rug, to=van(), on=day(2)),
        lambda: moves.out(article=rug, on=day(2), why="spoiled"),
    ]
    for act in acts:
        with pytest.raises(Refused, match=rf"left on {day(1)} \(given away\). It must come back first"):
            act()


def test_a_customers_piece_leaves_by_its_job_only() -> None:
    make.job("J-01")
    with pytest.raises(Refused, match="when its job is handed over"):
        moves.out(article=Article.objects.get(number="A-J-01"), on=DAY, why="given")


def test_nothing_moves_before_it_was_there() -> None:
    with pytest.raises(Refused, match=f"was finished on {DAY}; nothing can happen to it on {day(-1)}"):
        moves.out(article=make.article(), on=day(-1), why="given")
    with pytest.raises(Refused, match=f"came in on {DAY}"):
        moves.move(thing=make.skin("H01"), to=van(), on=day(-1))


def test_moves_are_written_in_the_order_of_their_days() -> None:
    rug = make.article()
    moves.move(thing=rug, to=van(), on=day(5))
    with pytest.raises(Refused, match=rf"moved on {day(5)}. Choose that day or a later one"):
        moves.move(thing=rug, to=None, on=day(4))


@pytest.mark.parametrize("why", ["given", "own_use", "spoiled", "missing"])
def test_a_leaving_taken_back_leaves_no_trace(why: str) -> None:
    rug = make.article(place=van())
    before = stands(rug)
    row = moves.reverse(move=moves.out(article=rug, on=day(1), why=why))
    assert row.reversed_at is not None
    assert stands(rug) == before
    assert not read.of(rug).exists()
    assert list(read.held_on(day(1))) == [rug]


def test_only_the_last_move_is_taken_back_and_once() -> None:
    rug = make.article()
    first, second = (moves.move(thing=rug, to=to, on=day(1)) for to in (van(), make.place("Shelf")))
    with pytest.raises(Refused, match="Reverse its later moves first, newest first"):
        moves.reverse(move=first)
    moves.reverse(move=second)
    assert stands(rug)[0] == "Van"
    with pytest.raises(Refused, match="reversed already"):
        moves.reverse(move=second)
    moves.reverse(move=first)
    assert stands(rug)[0] == ""


def test_a_move_of_a_sale_is_reverser_a_credit() -> None:
    rug = make.article()
    make.sale(rug)
    with pytest.raises(Refused, match="Credit the sale instead"):
        moves.reverse(move=read.of(rug).get())


def test_taking_a_move_back_touches_nothing_but_the_place() -> None:
    skin = make.skin("H01")
    moved = moves.move(thing=skin, to=van(), on=DAY)
    skins.describe(skin=skin, details=skins.Details(species="Goat", date_in=DAY, price=Decimal(12), place=van()))
    moves.reverse(move=moved)
    skin.refresh_from_db()
    assert (skin.species, str(skin.place)) == ("Goat", "None")


def test_closed_books_hold_back_value_and_not_a_move() -> None:
    rug = make.article()
    gone = moves.out(article=make.article("A2"), on=day(1), why="given")
    workshop.close_books(to=day(9))
    moves.reverse(move=moves.move(thing=rug, to=van(), on=day(2)))
    acts: list[Act] = [lambda: moves.out(article=rug, on=day(9), why="given"), lambda: moves.reverse(move=gone)]
    for act in acts:
        with pytest.raises(ClosedPeriod, match="Use a later date, or reopen them"):
            act()
    moves.out(article=rug, on=day(10), why="given")


def test_a_day_far_ahead_is_refused() -> None:
    with pytest.raises(Refused, match="Check the year"):
        moves.move(thing=make.article(), to=van(), on=date(2999, 1, 1))


@pytest.mark.parametrize(
    ("role", "moves_it", "gives_it"), [("owner", True, True), ("helper", True, False), ("bookkeeper", False, False)]
)
def test_who_works_in_the_shed_moves_and_who_prices_gives_away(role: str, moves_it: bool, gives_it: bool) -> None:
    by, rug = make.person(role), make.article()

    def may(act: Any, **what: Any) -> bool:
        try:
            made = act(on=day(1), by=by, **what)
        except NotAllowed:
            return False
        assert made.written_by == by
        return True

    assert may(moves.move, thing=rug, to=van()) is moves_it
    assert may(moves.out, article=rug, why="given") is gives_it


def test_a_helper_takes_back_a_move_and_no_gift() -> None:
    helper, rug = make.person("helper"), make.article()
    moves.reverse(move=moves.move(thing=rug, to=van(), on=DAY), by=helper)
    gone = moves.out(article=rug, on=DAY, why="given")
    with pytest.raises(NotAllowed):
        moves.reverse(move=gone, by=helper)


def test_one_key_moves_once_and_is_no_key_of_another_service() -> None:
    rug = make.article()
    first = moves.move(thing=rug, to=van(), on=DAY, request_key="k")
    assert moves.move(thing=rug, to=van(), on=DAY, request_key="k") == first
    with pytest.raises(Refused, match="sent before for something else"):
        moves.out(article=rug, on=DAY, why="given", request_key="k")
    gone = moves.out(article=rug, on=DAY, why="given", request_key="g")
    assert moves.out(article=rug, on=DAY, why="given", request_key="g") == gone
    assert Move.objects.count() == 2


def test_where_a_piece_stood_is_told_for_any_day() -> None:
    gallery = make.place("Room", Place.Kind.GALLERY)
    rug, still = make.article("A1", place=van()), make.article("A2", place=van())
    moves.move(thing=rug, to=gallery, on=day(5))
    moves.move(thing=rug, to=van(), on=day(8))
    moves.out(article=rug, on=day(9), why="given")
    found = [read.where(day(nth)).get(rug.pk) for nth in (0, 4, 5, 7, 8, 9)]
    assert found == [van(), van(), gallery, gallery, van(), None]
    assert read.where(day(9)) == {still.pk: van()}
    assert [read.with_others(day(nth)) for nth in (4, 5, 8)] == [set(), {rug.pk}, set()]


def test_pieces_of_customers_are_held_until_they_are_handed_over() -> None:
    job = make.job("J-01")
    assert [row.number for row in read.held_on(DAY)] == ["A-J-01"]
    make.sale(job, customer=make.customer(), on=day(2))
    assert list(read.held_on(day(2))) == []
