"""How softening stands: minutes against the usual, the price it is judged by, and when the skin will be ready."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.batches.stays import services as batches
from costing.make.cost.rates import services as rates
from costing.make.labour import rules as worth, services as labour
from costing.make.readings import services as readings
from costing.make.readings.drying import rules as drying
from costing.models import LabourLine
from costing.report.skins import selectors as skin_reads
from costing.sell.pricing.channels import services as channels
from inventory.base.accounting import services as accounting
from inventory.models import Skin
from tests import factories
from tests.factories import DAY

pytestmark = pytest.mark.django_db
D, F = Decimal, Fraction


@pytest.fixture(autouse=True)
def _rates() -> None:
    rates.set_rates(wage_per_hour=D(16))
    channels.save(name="Card fair", fee_percent=D("1.9"), fixed_cost=D(0), usual=True)


def sheep(tag: str, soft: int, other: int = 0, list_price: str | None = "185", **more: Any) -> None:
    """A finished sheepskin with minutes at softening and at something else, and a list price."""
    factories.skin(tag, **more)
    if soft:
        factories.work(minutes=soft, tags=[tag], task="soften (6 sittings)", kind="soften")
    if other:
        factories.work(minutes=other, tags=[tag], task="flesh+salt")
    price = None if list_price is None else D(list_price)
    factories.finish(tag, pieces=[factories.piece(f"A-{tag}", list_price=price)])


def at_hand(tag: str = "H9", **more: Any) -> Skin:
    return factories.skin(tag, **more)


def test_hours_so_far_stand_beside_the_usual_of_the_species_all_of_them_and_at_softening() -> None:
    for tag, soft, other in [("H01", 205, 290), ("H02", 190, 290), ("H03", 265, 290)]:
        sheep(tag, soft, other)
    sheep("R1", 250, species="Reindeer")
    skin = at_hand(species="sheep")
    factories.work(minutes=90, tags=["H9"], task="flesh+salt")
    factories.work(minutes=40, tags=["H9"], task="Break and stake", kind="soften")
    found = skin_reads.of_skin(skin)
    assert (found.minutes_so_far, found.soft_so_far) == (130, 40)
    assert found.usual_soft == worth.Usual(F(205), F(190), F(265), 3)
    assert found.usual == worth.Usual(F(495), F(480), F(555), 3)


def test_minutes_shared_with_others_count_by_their_share_and_taken_back_ones_not_at_all() -> None:
    skin = at_hand()
    factories.skin("H8")
    factories.work(minutes=50, tags=["H8", "H9"])
    wrong = factories.work(minutes=30, tags=["H9"])
    labour.reverse(line=wrong)
    assert skin_reads.of_skin(skin).soft_so_far == 25


def test_paid_help_is_no_hour_of_mine() -> None:
    skin = at_hand()
    factories.work(minutes=60, tags=["H9"], who="Aino", paid=D(15))
    found = skin_reads.of_skin(skin, D(185))
    assert (found.minutes_so_far, found.soft_so_far, found.book) == (0, 0, D("27.00"))
    assert found.earned is not None
    assert found.earned.now is None


def test_an_hour_earns_what_the_usual_channel_leaves_less_the_book_cost() -> None:
    skin = at_hand(price="20.23")
    factories.work(minutes=555, tags=["H9"])
    found = skin_reads.of_skin(skin, D(185))
    assert found.channel == "Card fair"
    # 1.9 % of 185.00 are 3.52 in coins.
    assert found.price_left == F("181.48")
    assert found.earned == worth.Earned(now=D("17.43"), after=D("16.83"))
    assert (found.pays_until, found.no_longer_pays) == (604, False)
    assert found.price_source == "entered"


def test_past_the_last_minute_that_pays_it_says_so() -> None:
    skin = at_hand(price="20.23")
    factories.work(minutes=604, tags=["H9"])
    assert skin_reads.of_skin(skin, D(185)).no_longer_pays is False
    factories.work(minutes=1, tags=["H9"])
    assert skin_reads.of_skin(skin, D(185)).no_longer_pays is True


def test_tax_on_top_is_no_earning() -> None:
    factories.registered()
    rates.set_rates(vat_percent=D(25))
    skin = at_hand(price=0)
    factories.work(minutes=60, tags=["H9"])
    # 125.00 holds 25.00 of tax; the fee of 1.9 %, 2.38, is taken of all of it.
    assert skin_reads.of_skin(skin, D(125)).price_left == F("97.62")


def test_the_price_is_the_middle_one_of_the_finished_of_its_kind() -> None:
    for tag, price in [("H01", "150"), ("H02", "185"), ("H03", "240"), ("H04", None)]:
        sheep(tag, 60, list_price=price)
    sheep("R1", 60, list_price="999", species="Reindeer")
    found = skin_reads.of_skin(at_hand())
    assert (found.price, found.price_source) == (D("185.00"), "middle list price of the 3 finished")


def test_a_skin_cut_into_pieces_is_worth_them_all_and_one_in_a_joined_piece_its_part() -> None:
    factories.skin("H01", species="Goat")
    factories.work(tags=["H01"])
    thirds = [factories.piece(f"P{n}", F(1, 3), list_price=D(38)) for n in (1, 2, 3)]
    factories.finish("H01", pieces=thirds)
    assert skin_reads.of_skin(at_hand(species="Goat")).price == D("114.00")
    for tag in ("K1", "K2"):
        factories.skin(tag, species="Rabbit")
    factories.work(tags=["K1", "K2"])
    factories.finish("K1", "K2", pieces=[factories.piece("Cushion", list_price=D(95))])
    assert skin_reads.of_skin(at_hand("K9", species="Rabbit")).price == D("47.50")


def test_a_finished_skin_is_judged_by_its_own_list_price_and_not_by_itself() -> None:
    sheep("H01", 100, list_price="150")
    sheep("H02", 200, list_price="300")
    found = skin_reads.of_skin(Skin.objects.get(tag="H01"))
    assert (found.price, found.price_source) == (D("150.00"), "its own list price")
    assert found.usual == worth.Usual(F(200), F(200), F(200), 1)


def test_a_customers_skin_has_no_list_price_to_go_by() -> None:
    sheep("H01", 100)
    sheep("H02", 100, list_price="500", owner="customer", price=0)
    found = skin_reads.of_skin(at_hand(owner="customer", price=0))
    assert (found.price, found.earned, found.pays_until, found.no_longer_pays) == (None, None, None, None)
    assert "Enter the price agreed" in " ".join(found.missing)
    assert skin_reads.of_skin(at_hand("H8")).price == D("185.00")


def test_what_is_not_known_is_said_with_what_to_enter() -> None:
    rates.set_rates(wage_per_hour=D(0))
    found = skin_reads.of_skin(at_hand())
    said = " ".join(found.missing)
    assert (found.usual, found.usual_soft, found.price, found.earned) == (None, None, None, None)
    assert "No sheep skin is finished yet" in said
    assert "Enter the price you would ask" in said
    assert "Set the wage" in said
    priced = skin_reads.of_skin(at_hand("H8"), D(185))
    assert priced.earned is not None
    assert (priced.pays_until, priced.no_longer_pays) == (None, None)


@pytest.mark.thorough
def test_many_skins_and_lines_take_as_many_queries_as_few() -> None:
    sheep("H01", 60, 60)
    skin = at_hand()
    factories.work(minutes=20, tags=["H9"])

    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            skin_reads.of_skin(skin)
        return len(seen)

    few = queries()
    for number in range(2, 8):
        sheep(f"H0{number}", 60, 60)
        factories.work(minutes=20, tags=["H9"])
    assert queries() == few


def at(day: int, hour: int = 12) -> datetime:
    return datetime(2025, 3, day, hour, tzinfo=UTC)


def weigh(*pairs: tuple[int, int], tag: str = "H9") -> None:
    for day, grams in pairs:
        readings.note(tags=[tag], weight=D(grams), at=at(day))


def test_the_window_is_told_from_the_weighings_of_the_skin() -> None:
    skin = at_hand()
    weigh((10, 3000), (12, 2000), (14, 1500))
    found = skin_reads.dryings([skin])[0].window
    assert isinstance(found, drying.Window)
    assert (found.begins.date().isoformat(), found.ends.date().isoformat()) == ("2025-03-13", "2025-03-15")
    assert found.dry_g == 1000


def test_weighings_before_the_last_lacing_do_not_count() -> None:
    skin = at_hand()
    weigh((5, 4000), (8, 900))
    factories.work(DAY + timedelta(days=6), task="lace", tags=["H9"])
    weigh((10, 3000), (12, 2000), (14, 1500))
    found = skin_reads.dryings([skin])[0].window
    assert isinstance(found, drying.Window)
    assert found.dry_g == 1000


def test_a_lacing_of_the_whole_batch_counts_for_the_skins_in_it_that_day() -> None:
    skin, day = at_hand(), DAY + timedelta(days=6)
    factories.skin("H8")
    bath = factories.batch("B1", tags=["H9"])
    factories.work(DAY, batch=bath)
    factories.work(day, task="to the frames", kind="lace", batch=bath)
    other = Skin.objects.get(tag="H8")
    weigh((5, 4000), (12, 900))
    assert [len(each.rows) for each in skin_reads.dryings([skin, other])] == [1, 0]
    labour.reverse(line=LabourLine.objects.get(laced=True))
    assert len(skin_reads.dryings([skin])[0].rows) == 2


@pytest.mark.thorough
def test_of_several_skins_each_counts_from_its_own_lacing_in_as_many_queries_as_one() -> None:
    for tag in ("H1", "H2", "H3"):
        factories.skin(tag)
    bath = factories.batch("B1", tags=["H1", "H2"])
    factories.work(DAY, batch=bath)
    batches.leave(batch=bath, skin=Skin.objects.get(tag="H2"), on=DAY + timedelta(days=2))
    for tag in ("H1", "H2", "H3"):
        weigh((5, 4000), (8, 900), tag=tag)
    factories.work(DAY + timedelta(days=6), task="lace", batch=bath)
    for tag in ("H1", "H2", "H3"):
        weigh((10, 850), (12, 820), (14, 805), tag=tag)
    skins = list(Skin.objects.order_by("tag"))
    with CaptureQueriesContext(connection) as one:
        skin_reads.dryings(skins[:1])
    with CaptureQueriesContext(connection) as three:
        found = skin_reads.dryings(skins)
    assert len(one) == len(three)
    assert [(row.skin.tag, len(row.rows)) for row in found] == [("H1", 3), ("H2", 5), ("H3", 5)]


def test_a_weighing_taken_back_does_not_count() -> None:
    skin = at_hand()
    weigh((10, 3000), (12, 2000), (14, 1500))
    readings.reverse(reading=readings.note(tags=["H9"], weight=D(9000), at=at(15)))
    assert isinstance(skin_reads.dryings([skin])[0].window, drying.Window)


@pytest.mark.parametrize(
    ("pairs", "said"),
    [
        ((), "not weighed yet, and it takes two"),
        (((10, 3000), (11, 2990)), "which a scale may be off by"),
        (((10, 3000), (12, 3100), (13, 3000)), "rose from"),
        (((10, 3000),) * 3, "two weights"),
    ],
)
def test_what_tells_no_window_says_why(pairs: tuple[tuple[int, int], ...], said: str) -> None:
    skin = at_hand()
    weigh(*pairs)
    (found,) = skin_reads.dryings([skin])
    assert found.window is None
    assert said in found.missing


def test_two_weighings_are_a_range_and_the_third_a_curve() -> None:
    skin = at_hand()
    weigh((10, 3000), (12, 2000))
    (found,) = skin_reads.dryings([skin])
    assert found.window is None
    assert found.estimate is not None
    assert found.estimate.begins[0] < found.estimate.begins[1]
    weigh((14, 1500))
    (found,) = skin_reads.dryings([skin])
    assert (found.estimate, found.missing) == (None, "")
    assert found.window is not None


def test_a_straight_line_stays_a_range_until_the_maker_says_the_dry_weight() -> None:
    skin = at_hand()
    weigh((10, 3000), (11, 2500), (12, 2000), (13, 1500))
    (found,) = skin_reads.dryings([skin])
    assert (found.window, found.estimate is None) == (None, False)
    skin.dry_weight = D(1200)
    window = skin_reads.dryings([skin])[0].window
    assert window is not None
    assert window.dry_g == 1200


def test_what_is_ahead_is_told_by_the_workshops_clock() -> None:
    skin = at_hand()
    assert skin_reads.ahead(skin_reads.dryings([skin])[0]) is None
    weigh((10, 3000), (12, 2000))
    accounting.pin_today(on=date(2025, 3, 12))
    found = skin_reads.ahead(skin_reads.dryings([skin])[0])
    assert found is not None
    assert (found.soft, found.dry) == ("within about 23 hours", "within about 4 days")
    accounting.pin_today(on=date(2025, 4, 1))
    assert skin_reads.ahead(skin_reads.dryings([skin])[0]) == skin_reads.Ahead("now", "now")
