"""The shares of every skin of the demo year, gathered from the database as the pure rules have them."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.batches.stays import services as batches
from costing.make.cost import selectors as costs
from costing.make.cost.breakdown import selectors as breakdown
from costing.make.cost.lines import selectors as lines
from costing.make.cost.rules import Share
from costing.models import Batch
from inventory.errors import Refused
from inventory.models import Material, Skin
from inventory.skins import services as skins
from tests.factories import DAY, batch, finish, material, put, skin, work

pytestmark = pytest.mark.django_db
D, F = Decimal, Fraction
LATER = DAY + timedelta(days=1)


def salt() -> Material:
    return material("SALT", on_hand=1000, value=1000)


def test_a_batch_that_shares_by_area_goes_by_the_wet_area_where_both_are_known() -> None:
    skin("A", price=0, wet_area=D(300), dry_area=D(100))
    skin("B", price=0, dry_area=D(100))
    put(batch(tags=["A", "B"], share_by="area"), salt(), 8)
    shares = costs.skin_shares(Skin.objects.all())
    assert (shares["A"].materials, shares["B"].materials) == (6, 2)


def test_a_skin_bears_its_price_its_batches_and_what_was_done_on_it_directly() -> None:
    one = skin("H01", price=12)
    of = salt()
    put(None, of, 1, tags=["H01"])
    work(minutes=20, tags=["H01"])
    first = batch("B1", tags=["H01"])
    put(first, of, 2)
    batches.leave(batch=first, skin=one, on=DAY)
    second = batch("B2", tags=["H01"], start=LATER)
    put(second, of, 3, LATER)
    work(LATER, 40, batch=second, paid=D(9))
    assert costs.skin_shares([one]) == {
        "H01": Share(skin_price=F(12), materials=F(6), paid_help=F(9), minutes=F(60), own_minutes=F(20))
    }


def test_only_the_skins_asked_for_are_answered() -> None:
    one = skin("H01")
    skin("H02")
    put(None, salt(), 2, tags=["H01", "H02"])
    assert costs.skin_shares([one]) == {"H01": Share(skin_price=F(12), materials=F(1))}


def test_costs_until_a_day_leave_out_what_came_after() -> None:
    one = skin("H01", price=0)
    bath, of = batch(tags=["H01"]), salt()
    put(bath, of, 1)
    put(bath, of, 2, LATER)
    assert costs.skin_shares([one], DAY)["H01"].materials == 1
    assert costs.skin_shares([one], LATER)["H01"].materials == 3


def test_a_skin_that_joined_later_changes_no_earlier_day() -> None:
    one = skin("H01", price=0)
    skin("H02", price=0)
    bath, of = batch(tags=["H01"]), salt()
    put(bath, of, 4)
    batches.join(batch=bath, tags=["H02"], on=LATER)
    put(bath, of, 4, LATER)
    assert costs.skin_shares([one], DAY)["H01"].materials == 4
    assert {tag: share.materials for tag, share in costs.batch_shares([bath])[bath.pk][0].items()} == {
        "H01": F(6),
        "H02": F(2),
    }


def test_three_skins_share_a_cent_in_exact_thirds() -> None:
    for tag in ("H01", "H02", "H03"):
        skin(tag, price=0)
    put(batch(tags=["H01", "H02", "H03"]), material(on_hand=1, value="0.01"), 1)
    shares = costs.skin_shares(Skin.objects.all())
    assert [share.materials for share in shares.values()] == [F(1, 300)] * 3


def test_a_batch_that_nobody_joined_bears_it_unshared() -> None:
    bath = batch()
    put(bath, salt(), 2)
    work(minutes=30, batch=bath)
    shares, rest = costs.batch_shares([bath])[bath.pk]
    assert (shares, rest) == ({}, Share(materials=F(2), minutes=F(30), own_minutes=F(30)))


@pytest.mark.thorough
@pytest.mark.slow
def test_shares_take_as_many_queries_for_thirty_batches_as_for_one() -> None:
    of = salt()

    def fill(number: int) -> None:
        skin(f"H{number}")
        bath = batch(f"B{number}", tags=[f"H{number}"])
        put(bath, of, 1, tags=[f"H{number}"])
        work(batch=bath)
        put(None, of, 1, tags=[f"H{number}"])

    fill(0)
    with CaptureQueriesContext(connection) as one:
        costs.batch_shares(Batch.objects.all())
        costs.skin_shares(Skin.objects.all())
    for number in range(1, 31):
        fill(number)
    with CaptureQueriesContext(connection) as many:
        assert len(costs.batch_shares(Batch.objects.all())) == 31
        assert len(costs.skin_shares(Skin.objects.all())) == 31
    assert len(many) == len(one)


def elk_and_sheep() -> None:
    skin("ELK", price=0, green_weight=D(14500))
    skin("SHEEP", price=0, green_weight=D(5000))


def test_an_entry_shared_by_weight_falls_on_each_skin_by_its_weight_in_a_batch_that_shares_by_head() -> None:
    """39.00 of salt on 14.5 kg of elk and 5 kg of sheep: 29.00 and 10.00; what else goes in is shared in halves."""
    elk_and_sheep()
    both, of = batch(tags=["ELK", "SHEEP"]), salt()
    put(both, of, 39, share_by="weight")
    put(both, of, 1)
    shares = costs.skin_shares(Skin.objects.all())
    assert (shares["ELK"].materials, shares["SHEEP"].materials) == (29 + F(1, 2), 10 + F(1, 2))
    assert [str(entry.share.materials) for entry in breakdown.of_skins(Skin.objects.filter(tag="ELK"))["ELK"]] == [
        "29",
        "1/2",
    ]


def test_salt_straight_on_named_skins_may_go_by_their_weight() -> None:
    elk_and_sheep()
    put(None, salt(), 39, tags=["ELK", "SHEEP"], share_by="weight")
    shares = costs.skin_shares(Skin.objects.all())
    assert (shares["ELK"].materials, shares["SHEEP"].materials) == (29, 10)


def test_an_entry_by_weight_is_refused_for_a_skin_that_was_never_weighed() -> None:
    elk_and_sheep()
    skin("NEW", price=0)
    with pytest.raises(Refused, match="shares by green weight and NEW has none"):
        put(batch(tags=["ELK", "NEW"]), salt(), 39, share_by="weight")


def test_a_weight_put_right_moves_the_late_cost_of_a_finished_piece_with_it() -> None:
    elk_and_sheep()
    put(None, salt(), 39, tags=["ELK", "SHEEP"], share_by="weight")
    (piece,) = finish("ELK")
    sheep = Skin.objects.get(tag="SHEEP")
    skins.describe(skin=sheep, details=skins.Details(species="Sheep", date_in=DAY, green_weight=D(14500)))
    piece.refresh_from_db()
    assert piece.book_cost == D("19.50")


@pytest.mark.thorough
def test_entries_shared_by_weight_take_as_many_queries_for_ten_as_for_one() -> None:
    elk_and_sheep()
    both, of = batch(tags=["ELK", "SHEEP"]), salt()
    counts = []
    for _ in range(2):
        for _ in range(5):
            put(both, of, 1, share_by="weight")
        with CaptureQueriesContext(connection) as found:
            costs.skin_shares(Skin.objects.all())
        counts.append(len(found))
    assert counts[0] == counts[1]


def test_lines_that_are_read_once_share_out_as_those_that_are_read_each_time() -> None:
    for tag in ("A", "B", "C"):
        skin(tag, green_weight=D(4))
    bath, other = batch(tags=["A", "B"]), batch("B2", tags=["C"])
    put(bath, salt(), 8, share_by="weight")
    work(batch=bath, tags=["B"])
    work(LATER, batch=other)
    put(None, Material.objects.get(code="SALT"), 3, tags=["A", "C"])
    work(LATER, tags=["B"])
    everybody = list(Skin.objects.all())
    plain = costs.skin_shares(everybody)
    with lines.lines_known(), CaptureQueriesContext(connection) as asked:
        assert costs.skin_shares(everybody) == plain
        one = [costs.skin_shares([each]) for each in everybody]
    assert {tag: share for each in one for tag, share in each.items()} == plain
    assert not [each for each in asked if "labourline" in each["sql"] or "inventory_movement" in each["sql"]]
