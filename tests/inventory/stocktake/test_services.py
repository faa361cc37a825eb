"""A count sheet: looked at without a trace, posted whole or not at all, once."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, NotAllowed, Refused
from inventory.models import CostFlow, Kind, Lot, Material, Movement, Posting, Request
from inventory.stocktake import selectors as reads, services as counting
from inventory.stocktake.services import Counted, Difference
from tests import factories as make

pytestmark = pytest.mark.django_db
D = Decimal
ON = date(2025, 12, 31)


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=ON)


def shelf() -> tuple[Material, Material, Material]:
    return (
        make.material("ALUMK", on_hand=2, value="10.00"),
        make.material("SALT", on_hand=10, value="5.00"),
        make.material("EGG", "piece", on_hand=12, value="3.00"),
    )


def sheet(*counts: tuple[Material, str, str]) -> list[Counted]:
    return [Counted(material, D(quantity), f"{quantity} typed", reason) for material, quantity, reason in counts]


def seen(found: list[Difference]) -> dict[int, Decimal]:
    return {each.material.pk: each.quantity for each in found}


def test_looking_shows_each_difference_with_its_value_and_writes_nothing() -> None:
    alum, salt, egg = shelf()
    before = (Posting.objects.count(), Movement.objects.count(), Lot.objects.count(), Request.objects.count())
    found = counting.look(on=ON, counted=sheet((alum, "1500", ""), (salt, "11000", ""), (egg, "12", "")))
    assert [(each.material.code, each.held, each.quantity, each.value) for each in found] == [
        ("ALUMK", D(2000), D(-500), D("-2.50")),
        ("SALT", D(10000), D(1000), D("0.50")),
    ]
    assert before == (Posting.objects.count(), Movement.objects.count(), Lot.objects.count(), Request.objects.count())
    alum.refresh_from_db()
    assert (alum.on_hand, alum.value) == (D(2000), D("10.00"))


def test_what_is_shown_is_to_the_coin_what_is_posted_also_first_in_first_out() -> None:
    workshop.set_up(cost_flow=CostFlow.FIFO)
    alum = make.material("ALUMK")
    make.receive(alum, 1, "1.00")
    make.receive(alum, 1, "9.99")
    entered = sheet((alum, "400", "spilled"))
    found = counting.look(on=ON, counted=entered)
    [posting] = counting.post(on=ON, counted=entered, seen=seen(found))
    assert found[0].value == posting.movements.get().value == D("-6.99")


def test_posting_writes_a_count_for_each_difference_with_its_reason_and_none_where_it_agrees() -> None:
    alum, salt, egg = shelf()
    entered = sheet((alum, "1500", "spilled"), (salt, "11000", "a bag not written down"), (egg, "12", ""))
    made = counting.post(on=ON, counted=entered, seen=seen(counting.look(on=ON, counted=entered)))
    assert [(posting.kind, posting.on, posting.reason) for posting in made] == [
        (Kind.COUNT, ON, "spilled"),
        (Kind.COUNT, ON, "a bag not written down"),
    ]
    assert [row.on_hand for row in Material.objects.order_by("pk")] == [D(1500), D(11000), D(12)]
    assert made[0].movements.get().typed == "1500 typed"


def test_a_sheet_is_posted_whole_or_not_at_all() -> None:
    alum, salt, _ = shelf()
    entered = sheet((alum, "1500", "spilled"), (salt, "9000", ""))
    found = counting.look(on=ON, counted=entered)
    with pytest.raises(Refused, match="The reason for Material SALT is missing") as refused:
        counting.post(on=ON, counted=entered, seen=seen(found), request_key="k")
    assert refused.value.field == f"reason_{salt.pk}"
    assert not Posting.objects.filter(kind=Kind.COUNT).exists()
    assert not Request.objects.filter(key="k").exists()


def test_the_same_sheet_twice_posts_once_and_answers_the_same() -> None:
    alum, salt, _ = shelf()
    entered = sheet((alum, "1500", "spilled"), (salt, "9000", "spilled"))
    differences = seen(counting.look(on=ON, counted=entered))
    first = counting.post(on=ON, counted=entered, seen=differences, request_key="k")
    assert counting.post(on=ON, counted=entered, seen=differences, request_key="k") == first
    assert len(first) == Posting.objects.filter(kind=Kind.COUNT).count() == 2


def test_what_moved_since_the_differences_were_shown_is_named_and_nothing_is_posted() -> None:
    alum, salt, _ = shelf()
    entered = sheet((alum, "1500", "spilled"), (salt, "10000", ""))
    differences = seen(counting.look(on=ON, counted=entered))
    make.take(salt, 1)
    with pytest.raises(Refused, match="Material SALT moved in the books since the differences were shown"):
        counting.post(on=ON, counted=entered, seen=differences)
    assert not Posting.objects.filter(kind=Kind.COUNT).exists()


def test_a_sheet_that_agrees_posts_nothing_and_leaves_its_key_free() -> None:
    alum, _, _ = shelf()
    entered = sheet((alum, "2000", ""))
    assert counting.look(on=ON, counted=entered) == []
    assert counting.post(on=ON, counted=entered, seen={}, request_key="k") == []
    assert not Request.objects.filter(key="k").exists()


@pytest.mark.parametrize("act", ["look", "post"])
def test_a_negative_count_is_refused(act: str) -> None:
    alum, _, _ = shelf()
    with pytest.raises(Refused, match=r"The count of Material ALUMK cannot be negative; -1 was given") as refused:
        run(act, sheet((alum, "-1", "x")))
    assert refused.value.field == f"count_{alum.pk}"


@pytest.mark.parametrize("act", ["look", "post"])
def test_an_empty_sheet_and_a_material_twice_are_refused(act: str) -> None:
    alum, _, _ = shelf()
    with pytest.raises(Refused, match="Nothing was counted"):
        run(act, [])
    with pytest.raises(Refused, match="is on the sheet twice"):
        run(act, sheet((alum, "1", "x"), (alum, "2", "x")))


@pytest.mark.parametrize("act", ["look", "post"])
def test_a_closed_day_is_refused(act: str) -> None:
    alum, _, _ = shelf()
    workshop.close_books(to=ON)
    with pytest.raises(ClosedPeriod):
        run(act, sheet((alum, "1", "x")))


def test_a_count_that_later_entries_contradict_is_refused_when_it_is_looked_at() -> None:
    alum, _, _ = shelf()
    make.take(alum, "1.8", on=date(2025, 12, 20))
    with pytest.raises(Refused, match="Material ALUMK"):
        counting.look(on=date(2025, 12, 1), counted=sheet((alum, "1000", "")))


def test_helpers_and_bookkeepers_count_and_strangers_do_not() -> None:
    alum, _, _ = shelf()
    for role in ("helper", "bookkeeper"):
        assert counting.look(on=ON, counted=sheet((alum, "1", "")), by=make.person(role))
    with pytest.raises(NotAllowed):
        counting.look(on=ON, counted=sheet((alum, "1", "")), by=make.person("nobody"))


def run(act: str, entered: list[Counted]) -> None:
    if act == "look":
        counting.look(on=ON, counted=entered)
    else:
        counting.post(on=ON, counted=entered, seen={})


def test_the_list_to_count_goes_place_by_place_with_no_quantity_in_it() -> None:
    place = make.place("Cellar")
    make.material("ALUMK", on_hand=2, value="10.00", place=place)
    make.material("SALT", on_hand=1, value="1.00")
    make.skin("H01", place=place)
    make.skin("H02", place=place)
    make.finish("H02")
    found = reads.by_place()
    assert [place for place, _ in found] == ["Cellar", ""]
    assert [thing.code for _, things in found for thing in things] == ["ALUMK", "H01", "SALT", "A-H02"]
    assert "2" not in "".join(thing.unit for _, things in found for thing in things)


def test_reasons_of_earlier_counts_are_offered_again() -> None:
    alum, _, _ = shelf()
    entered = sheet((alum, "1500", "spilled"))
    counting.post(on=ON, counted=entered, seen=seen(counting.look(on=ON, counted=entered)))
    assert reads.reasons() == ["spilled"]
