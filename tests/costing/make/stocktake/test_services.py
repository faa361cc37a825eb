"""Skins and pieces counted at a place: seen first, decided one by one, written whole or not at all, once."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from costing.make.stocktake import selectors as read, services as tally
from costing.make.stocktake.selectors import Thing
from costing.make.stocktake.services import Differences, Doing, Written
from costing.report.audit import selectors as audit
from costing.sell.jobs import services as jobs
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, NotAllowed, Refused
from inventory.models import Article, Move, Place, Request, Skin
from inventory.places.moves import services as moves
from tests import factories as make
from tests.factories import DAY

pytestmark = pytest.mark.django_db
ON = date(2025, 3, 31)


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=ON)


@pytest.fixture
def crate() -> Place:
    return make.place("Salt crate")


def rug(number: str = "R1", place: Place | None = None) -> Article:
    return make.article(number, on=DAY, place=place)


def things(*codes: str) -> list[Thing]:
    found, told = read.named(codes)
    assert told == []
    return found


def key(code: str) -> str:
    (thing,) = things(code)
    return thing.key


def look(place: Place | None, *codes: str, on: date = ON) -> Differences:
    return tally.look(place=place, on=on, found=things(*codes))


def post(
    place: Place | None,
    *codes: str,
    seen: Differences | None = None,
    doing: dict[str, Doing] | None = None,
    **more: object,
) -> Written:
    seen = look(place, *codes) if seen is None else seen
    ways = {thing.key: Doing(tally.MOVE) for thing in seen.elsewhere} | {
        key(code): way for code, way in (doing or {}).items()
    }
    given = {"on": ON, "found": things(*codes), "seen": seen.signs, "doing": ways}
    return tally.post(place=place, **{**given, **more})  # type: ignore[arg-type]


AGAIN, LOST = Doing(tally.AGAIN), Doing(tally.LOST, "not found anywhere")


def untouched() -> bool:
    return not Move.objects.exists() and not Skin.objects.filter(stage="lost").exists()


def test_what_is_missing_and_what_stands_elsewhere_is_seen_and_nothing_is_written(crate: Place) -> None:
    make.skin("H01", place=crate)
    make.skin("H02", place=crate)
    make.skin("H03", place=make.place("Freezer"))
    rug("R1", crate)
    found = look(crate, "H01", "h03")
    assert [thing.code for thing in found.missing] == ["H02", "R1"]
    assert [thing.code for thing in found.elsewhere] == ["H03"]
    assert found.agreeing == 1
    assert untouched()


def test_what_has_no_place_is_counted_as_a_place_of_its_own(crate: Place) -> None:
    make.skin("H01")
    make.skin("H02", place=crate)
    found = look(None, "H02")
    assert ([thing.code for thing in found.missing], [thing.code for thing in found.elsewhere]) == (["H01"], ["H02"])
    written = post(None, "H02", seen=found, doing={"H01": AGAIN})
    assert [move.to for move in written.moved] == [None]
    assert Skin.objects.get(tag="H02").place is None


def test_lost_finished_and_sold_ones_are_not_expected(crate: Place) -> None:
    for tag in ("H01", "H02"):
        make.skin(tag, place=crate)
    make.finish("H01")
    made = rug("R1", crate)
    moves.out(article=made, on=DAY, why="given")
    assert [thing.code for thing in look(crate).missing] == ["H02"]


def test_looking_again_writes_nothing_and_leaves_the_key_free(crate: Place) -> None:
    make.skin("H01", place=crate)
    assert post(crate, doing={"H01": AGAIN}, request_key="k") == Written(again=["H01"])
    assert untouched()
    assert not Request.objects.filter(key="k").exists()


def test_a_missing_skin_is_lost_with_its_reason_by_the_service_of_losses(crate: Place) -> None:
    make.skin("H01", place=crate)
    make.work(minutes=60, batch=make.batch("B1", tags=["H01"]))
    written = post(crate, doing={"H01": LOST})
    row = Skin.objects.get()
    assert written.lost == [row]
    assert (row.stage, row.lost_on, row.lost_reason, row.loss_spread) == ("lost", ON, "not found anywhere", False)
    assert row.stays.get().left_on == ON
    assert audit.findings() == []


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("why", ["missing", "given", "own_use", "spoiled"])
def test_a_missing_piece_leaves_with_the_way_and_the_reason_given(crate: Place, why: str) -> None:
    rug("R1", crate)
    (move,) = post(crate, doing={"R1": Doing(why, "from the stall")}).gone
    row = Article.objects.get()
    assert (row.gone_on, row.gone_why, row.place, move.note) == (ON, why, None, "from the stall")
    assert audit.findings() == []


def test_what_was_found_here_is_moved_here_unless_the_books_are_left(crate: Place) -> None:
    freezer = make.place("Freezer")
    make.skin("H01", place=freezer)
    rug("R1", freezer)
    made = post(crate, "H01", "R1", doing={"R1": Doing(tally.LEAVE)}).moved
    assert [(str(move.skin), move.origin, move.to, move.on, move.note) for move in made] == [
        ("H01", freezer, crate, ON, "found when counted")
    ]
    assert (Skin.objects.get(tag="H01").place, Article.objects.get().place) == (crate, freezer)


@pytest.mark.parametrize("doing", [{}, {"H01": Doing("")}, {"H01": Doing("given", "x")}])
def test_each_missing_one_needs_a_choice_of_its_kind(crate: Place, doing: dict[str, Doing]) -> None:
    make.skin("H01", place=crate)
    with pytest.raises(Refused, match="Say what is to be done about H01") as refused:
        post(crate, doing=doing)
    assert refused.value.field == f"way_{key('H01')}"


def test_one_without_its_reason_keeps_all_of_them_from_being_written(crate: Place) -> None:
    freezer = make.place("Freezer")
    make.skin("H01", place=crate)
    make.skin("H02", place=freezer)
    rug("R1", crate)
    with pytest.raises(Refused, match="How R1 went is missing") as refused:
        post(crate, "H02", doing={"H01": LOST, "R1": Doing("missing", " ")}, request_key="k")
    assert refused.value.field == f"reason_{key('R1')}"
    assert untouched()
    assert not Request.objects.exists()


def test_the_same_count_twice_writes_once_and_answers_the_same(crate: Place) -> None:
    make.skin("H01", place=crate)
    make.skin("H02", place=crate)
    make.skin("H03")
    rug("R1", crate)
    given = {"place": crate, "on": ON, "found": things("H03"), "seen": look(crate, "H03").signs, "request_key": "k"}
    doing = {"H01": LOST, "H02": AGAIN, "R1": Doing("missing", "gone"), "H03": Doing(tally.MOVE)}
    ways = {key(code): way for code, way in doing.items()}
    first = tally.post(**given, doing=ways)  # type: ignore[arg-type]
    assert tally.post(**given, doing=ways) == first  # type: ignore[arg-type]
    assert [len(part) for part in (first.moved, first.gone, first.lost, first.again)] == [1, 1, 1, 1]
    assert Move.objects.count() == 2


def test_a_key_of_one_place_is_no_key_of_what_has_none(crate: Place) -> None:
    make.skin("H01", place=crate)
    make.skin("H02")
    post(crate, "H02", doing={"H01": AGAIN}, request_key="k")
    with pytest.raises(Refused, match="sent before for something else"):
        post(None, "H01", request_key="k")


def test_what_moved_since_the_differences_were_shown_is_named_and_nothing_is_written(crate: Place) -> None:
    freezer = make.place("Freezer")
    first = make.skin("H01", place=crate)
    make.skin("H02", place=crate)
    make.skin("H03", place=freezer)
    seen = look(crate, "H03")
    moves.move(thing=first, to=freezer, on=ON)
    with pytest.raises(Refused, match=r"H01 moved in the books since the differences were shown\. Look at the"):
        post(crate, "H03", seen=seen, doing={"H01": LOST, "H02": LOST})
    moves.move(thing=first, to=crate, on=ON)
    make.skin("H04", place=crate)
    with pytest.raises(Refused, match="H04 moved in the books"):
        post(crate, "H03", seen=seen, doing={"H01": LOST, "H02": LOST})
    assert not Skin.objects.filter(stage="lost").exists()
    assert Skin.objects.get(tag="H03").place == freezer


def test_what_left_the_workshop_since_the_page_was_opened_cannot_be_found(crate: Place) -> None:
    made = rug("R1", crate)
    found = things("R1")
    moves.out(article=made, on=ON, why="given")
    for act in (tally.look, tally.post):
        given = {"seen": {}, "doing": {}} if act is tally.post else {}
        with pytest.raises(Refused, match="R1 left the workshop in the books since"):
            act(place=crate, on=ON, found=found, **given)  # type: ignore[operator]


def test_a_customers_own_that_is_missing_is_never_written_off(crate: Place) -> None:
    make.skin("H06", place=crate, owner="customer", price=0, customer="Ann Hill")
    make.skin("H07", place=crate, owner="customer", price=0)
    make.finish("H07", pieces=[make.piece("R7", place=crate)])
    with pytest.raises(Refused, match=r"H06 is a customer's own\. A stocktake writes nothing of it"):
        post(crate, doing={"H06": LOST})
    with pytest.raises(Refused, match="R7 is a customer's own"):
        post(crate, doing={"R7": Doing("missing", "x")})
    assert post(crate).again == ["H06", "R7"]
    assert untouched()


def test_a_customers_own_that_stands_elsewhere_is_moved_like_any_other(crate: Place) -> None:
    make.skin("H06", owner="customer", price=0)
    post(crate, "H06")
    assert Skin.objects.get().place == crate


def test_facts_say_cost_batch_and_whose_it_is(crate: Place) -> None:
    tub = make.place("Tub 1", Place.Kind.TUB)
    make.skin("H01", place=crate, price=12)
    batch = make.batch("B1", tags=["H01"], place=tub)
    make.work(minutes=30, batch=batch)
    theirs = make.skin("H06", place=crate, owner="customer", price=0)
    jobs.take(number="J-01", customer=make.customer(), skin=theirs, work="taw", price=Decimal(9), taken_on=DAY)
    rug("R1", crate)
    found = look(crate)
    facts = {thing.code: fact for thing, fact in zip(found.missing, read.facts(found.missing).values(), strict=True)}
    assert (facts["H01"].worth, str(facts["H01"].batch), facts["H01"].batch and facts["H01"].batch.place) == (
        12,
        "B1",
        tub,
    )
    assert (facts["H06"].worth, facts["H06"].whose, facts["H06"].job) == (None, "Ann Hill", "J-01")
    assert facts["R1"].worth == 12
    make.finish("H06", pieces=[make.piece("R6")])
    (piece,) = things("R6")
    assert read.facts([piece])[piece.key].job == "J-01"


def test_what_a_typed_word_means_is_said_or_refused_with_the_way_out(crate: Place) -> None:
    for tag in ("H01", "H02", "H03", "H05"):
        make.skin(tag)
    make.finish("H01", pieces=[make.piece("H01")])
    make.finish("H02", pieces=[make.piece("R2", "1/2"), make.piece("H03")][:1])
    make.finish("H05", pieces=[make.piece("R5")])
    moves.out(article=Article.objects.get(number="R2"), on=DAY, why="own_use")
    make.finish("H02", pieces=[make.piece("H03", "1/2")])
    found, told = read.named(["h01", "R2", "H03", "H05", "H99"])
    assert [type(thing.row) for thing in found] == [Article]
    assert told == [
        "R2 left on 2025-03-04 (own use). Take that back or credit it first, then count it.",
        "H03 is the tag of a skin and the number of a piece. Move the one you found on its own page.",
        "H05 is finished and gone into R5. Count the piece by its own number.",
        "“H99” is no tag and no number in the books. Check it, or take the skin in first.",
    ]


def test_a_skin_that_was_lost_is_not_found_by_a_count() -> None:
    make.skin("H01")
    post(None, doing={"H01": LOST})
    assert read.named(["H01"])[1] == [
        "H01 was written off as lost on 2025-03-31. Take that back on its page, then count it."
    ]


def test_no_more_is_read_than_a_sheet_may_hold() -> None:
    assert "More than 200 were typed" in read.named([f"X{number}" for number in range(201)])[1][-1]


@pytest.mark.parametrize(
    ("on", "said"),
    [
        (ON + timedelta(days=1), "has not come yet"),
        (date(1960, 1, 1), "Check the year"),
        (DAY, "H01 moved on 2025-03-20"),
    ],
)
def test_a_day_that_cannot_be_compared_is_refused(crate: Place, on: date, said: str) -> None:
    row = make.skin("H01")
    moves.move(thing=row, to=crate, on=date(2025, 3, 20))
    with pytest.raises(Refused, match=said) as refused:
        look(crate, on=on)
    assert refused.value.field == "on"


def test_what_came_after_the_day_of_the_count_was_not_there_to_be_missed(crate: Place) -> None:
    make.skin("H01", place=crate, date_in=ON)
    early = ON - timedelta(days=1)
    assert look(crate, on=early).missing == ()
    with pytest.raises(Refused, match="H01 came in on 2025-03-31; it cannot be found on 2025-03-30"):
        look(crate, "H01", on=early)


def test_nothing_is_written_off_in_a_closed_time_and_moves_still_are(crate: Place) -> None:
    make.skin("H01", place=crate)
    make.skin("H02")
    workshop.close_books(to=ON)
    with pytest.raises(ClosedPeriod):
        post(crate, "H02", doing={"H01": LOST})
    assert untouched()
    assert post(crate, "H02", doing={"H01": AGAIN}).moved


def test_a_skin_that_is_partly_made_up_is_refused_beside_its_choice(crate: Place) -> None:
    make.skin("H01", place=crate)
    make.finish("H01", pieces=[make.piece("R1", "1/2")])
    with pytest.raises(Refused, match="lose the article instead"):
        post(crate, doing={"H01": LOST})
    assert untouched()


def test_each_role_writes_what_it_may(crate: Place) -> None:
    make.skin("H01", place=crate)
    make.skin("H02")
    rug("R1", crate)
    helper, bookkeeper, nobody = (make.person(role) for role in ("helper", "bookkeeper", "nobody"))
    missing = {"H01": AGAIN, "R1": AGAIN}
    assert post(crate, doing=missing, by=bookkeeper).again == ["H01", "R1"]
    with pytest.raises(NotAllowed):
        post(crate, "H02", doing=missing, by=bookkeeper)
    with pytest.raises(NotAllowed):
        post(crate, doing={**missing, "R1": Doing("missing", "x")}, by=helper)
    with pytest.raises(NotAllowed):
        tally.look(place=crate, on=ON, found=[], by=nobody)
    assert untouched()
    assert len(post(crate, "H02", doing={"H01": LOST, "R1": AGAIN}, by=helper).lost) == 1
