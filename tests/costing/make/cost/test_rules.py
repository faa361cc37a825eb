"""Sharing a batch's costs: who bears what, that nothing is lost, and the demo year's twelve skins to the cent."""

from __future__ import annotations

import csv
from dataclasses import fields
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from costing.make.cost import rules as rollup
from costing.make.cost.lines.rules import Kind, Line, Stay, present, takers
from costing.make.cost.rates.rules import Rates
from costing.make.cost.rules import Share, rounded, share_out
from inventory.money import half_up

DATA = Path(__file__).parent / "data"
RATES = Rates(wage_per_hour=Decimal("16.00"), overhead_per_hour=Decimal("4.00"), frame_wear=Decimal("1.52"))

# Skin: batch, joined, left, price paid. H05 slipped on 18 March; H06 is a customer's, so its price is nil.
SKINS = {
    "H01": ("B1", date(2025, 1, 11), None, "12.00"),
    "H02": ("B1", date(2025, 1, 11), None, "12.00"),
    "H03": ("B1", date(2025, 1, 11), None, "12.00"),
    "H04": ("B2", date(2025, 3, 4), None, "35.00"),
    "H05": ("B2", date(2025, 3, 4), date(2025, 3, 18), "35.00"),
    "H06": ("B2", date(2025, 3, 4), None, "0.00"),
    "H07": ("B3", date(2025, 5, 5), None, "8.00"),
    "H08": ("B3", date(2025, 5, 5), None, "8.00"),
    "H09": ("B4", date(2025, 9, 20), None, "1.50"),
    "H10": ("B4", date(2025, 9, 20), None, "1.50"),
    "H11": ("B4", date(2025, 9, 20), None, "1.50"),
    "H12": ("B4", date(2025, 9, 20), None, "1.50"),
}

DAY = date(2025, 3, 1)


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


EXPECTED = {row["skin"]: row for row in rows("skin_cost_expected.csv")}


def demo_lines(batch: str) -> list[Line]:
    """A batch of the demo year as lines: skins bought, materials put in work, the owner's minutes."""
    bought = [
        Line("skin_price", joined, money=Decimal(price), skins=(skin,))
        for skin, (its_batch, joined, _, price) in SKINS.items()
        if its_batch == batch
    ]
    issued = [
        Line("materials", date.fromisoformat(row["date"]), money=Decimal(row["value"]))
        for row in rows("issues.csv")
        if row["to"] == batch
    ]
    worked = [
        Line(
            "own_time",
            date.fromisoformat(row["date"]),
            minutes=Decimal(row["minutes"]),
            skins=tuple(row["skins"].split()),
            laced=row["stage"] == "lace",
        )
        for row in rows("labour.csv")
        if row["batch"] == batch
    ]
    return bought + issued + worked


def demo_share(skin: str) -> Share:
    batch = SKINS[skin][0]
    stays = [Stay(each, joined, left) for each, (its_batch, joined, left, _) in SKINS.items() if its_batch == batch]
    shares, unshared = share_out(demo_lines(batch), stays, 2)
    assert unshared == Share()
    return shares[skin]


def test_the_expected_figures_cover_all_twelve_skins() -> None:
    assert set(EXPECTED) == set(SKINS)


@pytest.mark.parametrize("skin", SKINS)
def test_demo_skin_costs_what_the_year_says(skin: str) -> None:
    cost, expected = rounded(demo_share(skin), RATES, 2), EXPECTED[skin]
    assert (cost.book, cost.full) == (Decimal(expected["book_cost"]), Decimal(expected["full_cost"]))
    assert (cost.materials, cost.hours) == (Decimal(expected["materials"]), Decimal(expected["hours"]))
    assert cost.skin_price == Decimal(expected["skin_price"])
    assert cost.own_hours == cost.hours


def test_spreading_a_slipped_skin_adds_half_its_loss_to_each_survivor() -> None:
    salvage = Decimal("10.00")
    lost = demo_share("H05")
    book = rounded(lost + Share(skin_price=Fraction(-salvage)), RATES, 2).book
    full = rounded(lost + Share(skin_price=Fraction(-salvage)), RATES, 2).full
    assert (book, full) == (Decimal("26.82"), Decimal("75.49"))
    half = (lost + Share(skin_price=Fraction(-salvage))).times(Fraction(1, 2))
    assert rounded(half, RATES, 2).book == Decimal("13.41")
    assert rounded(half, RATES, 2).full == Decimal("37.75")


def test_book_is_the_rounded_sum_and_its_parts_are_apportioned_to_it() -> None:
    """Each rounded by itself the three would be 1.01, and 3.03 together."""
    share = Share(skin_price=Fraction("1.005"), materials=Fraction("1.005"), paid_help=Fraction("1.005"))
    cost = rounded(share, RATES, 2)
    assert (cost.skin_price, cost.materials, cost.paid_help) == (Decimal("1.00"), Decimal("1.01"), Decimal("1.01"))
    assert cost.book == Decimal("3.02")


def test_a_step_that_pieces_of_one_skin_left_to_this_one_is_left_over_by_its_parts() -> None:
    share = Share(skin_price=Fraction("12.625"))
    cost = rounded(share, RATES, 2, (Decimal("12.62"), Decimal("12.63")))
    assert (cost.skin_price, cost.left_over) == (Decimal("12.62"), Decimal("0.01"))


MONEY = st.fractions(min_value=0, max_value=5000, max_denominator=997)


@given(paid=st.tuples(MONEY, MONEY, MONEY), own=MONEY, more=MONEY, laces=MONEY, places=st.sampled_from([0, 2, 3]))
def test_what_is_shown_of_a_cost_adds_up_to_what_is_shown(
    paid: tuple[Fraction, ...], own: Fraction, more: Fraction, laces: Fraction, places: int
) -> None:
    share = Share(*paid, minutes=own + more, own_minutes=own, laces=laces)
    cost = rounded(share, RATES, places)
    exact = [*paid, share.own_time(RATES), share.overhead(RATES), share.wear(RATES)]
    shown = [cost.skin_price, cost.materials, cost.paid_help, cost.own_time, cost.overhead, cost.frame_wear]
    assert sum(shown[:3]) == cost.book == half_up(share.book(), places)
    assert sum(shown) + cost.left_over == cost.full == half_up(share.full(RATES), places)
    assert not cost.left_over or not any(exact[3:])
    assert all(abs(Fraction(said) - part) < Fraction(2, 10**places) for said, part in zip(shown, exact, strict=True))


def test_every_shown_part_is_its_own_figure() -> None:
    share = Share(
        Fraction(1), Fraction(2), Fraction(3), minutes=Fraction(150), own_minutes=Fraction(90), laces=Fraction(2)
    )
    assert rounded(share, RATES, 2) == rollup.RoundedCost(
        skin_price=Decimal("1.00"),
        materials=Decimal("2.00"),
        paid_help=Decimal("3.00"),
        own_time=Decimal("24.00"),
        overhead=Decimal("10.00"),
        frame_wear=Decimal("3.04"),
        book=Decimal("6.00"),
        full=Decimal("43.04"),
        hours=Decimal("2.50"),
        own_hours=Decimal("1.50"),
    )


def test_the_day_of_leaving_counts_and_the_day_after_does_not() -> None:
    stays = [Stay("A", DAY, DAY + timedelta(9)), Stay("B", DAY)]
    assert [stay.skin for stay in present(stays, DAY + timedelta(9))] == ["A", "B"]
    assert [stay.skin for stay in present(stays, DAY + timedelta(10))] == ["B"]
    assert present(stays, DAY - timedelta(1)) == []


def test_named_skins_win_over_presence() -> None:
    stays = [Stay("A", DAY, DAY + timedelta(2)), Stay("B", DAY)]
    shares, _ = share_out([Line("materials", DAY + timedelta(20), money=Decimal(8), skins=("A",))], stays)
    assert shares["A"].materials == 8
    assert shares["B"] == Share()


def test_a_skin_named_twice_bears_once() -> None:
    shares, _ = share_out(
        [Line("materials", DAY, money=Decimal(9), skins=("A", "A", "B"))], [Stay("A", DAY), Stay("B", DAY)]
    )
    assert shares["A"].materials == shares["B"].materials == Fraction(9, 2)


def test_a_name_outside_the_batch_is_refused() -> None:
    with pytest.raises(ValueError, match="H99, never in this batch"):
        share_out([Line("materials", DAY, money=Decimal(1), skins=("A", "H99"))], [Stay("A", DAY)])


def test_a_late_cost_goes_to_those_who_left_last() -> None:
    stays = [Stay("A", DAY, DAY + timedelta(3)), Stay("B", DAY, DAY + timedelta(9)), Stay("C", DAY, DAY + timedelta(9))]
    late = Line("materials", DAY + timedelta(40), money=Decimal(5))
    assert [stay.skin for stay in takers(stays, late)] == ["B", "C"]


def test_a_cost_before_anybody_joined_goes_to_those_who_joined_first() -> None:
    stays = [Stay("A", DAY), Stay("B", DAY), Stay("C", DAY + timedelta(1))]
    assert [stay.skin for stay in takers(stays, Line("materials", DAY - timedelta(5)))] == ["A", "B"]


def test_a_cost_while_the_batch_stood_empty_goes_to_those_who_had_left_last() -> None:
    stays = [Stay("A", DAY, DAY + timedelta(2)), Stay("B", DAY + timedelta(10))]
    assert [stay.skin for stay in takers(stays, Line("materials", DAY + timedelta(5)))] == ["A"]


def test_a_skin_back_on_the_day_it_left_bears_one_share_at_its_later_weight() -> None:
    stays = [Stay("A", DAY, DAY, Fraction(5)), Stay("A", DAY, None, Fraction(3)), Stay("B", DAY, None, Fraction(1))]
    shares, _ = share_out([Line("materials", DAY, money=Decimal(8))], stays)
    assert shares["A"].materials == 6
    assert shares["B"].materials == 2


def test_a_named_skin_bears_at_the_weight_of_its_stay_on_that_day() -> None:
    stays = [Stay("A", DAY, None, Fraction(1)), Stay("B", DAY, DAY + timedelta(1), Fraction(3))]
    stays.append(Stay("B", DAY + timedelta(5), None, Fraction(7)))
    shares, _ = share_out([Line("materials", DAY, money=Decimal(8), skins=("A", "B"))], stays)
    assert shares["B"].materials == 6


def test_without_skins_the_whole_stays_unshared() -> None:
    shares, unshared = share_out(
        [Line("materials", DAY, money=Decimal("7.35")), Line("own_time", DAY, minutes=Decimal(20), laced=True)], []
    )
    assert shares == {}
    assert unshared == Share(materials=Fraction("7.35"), minutes=Fraction(20), own_minutes=Fraction(20))


def test_weights_divide_a_line_in_their_proportion() -> None:
    stays = [Stay("A", DAY, None, Fraction(4600)), Stay("B", DAY, None, Fraction(5400))]
    shares, _ = share_out([Line("materials", DAY, money=Decimal("10.00"))], stays)
    assert (shares["A"].materials, shares["B"].materials) == (Fraction("4.6"), Fraction("5.4"))


def test_every_skin_on_a_frame_bears_one_whole_lacing() -> None:
    stays = [Stay("A", DAY), Stay("B", DAY), Stay("C", DAY)]
    line = Line("own_time", DAY, minutes=Decimal(60), skins=("A", "B"), laced=True)
    shares, _ = share_out([line, line], stays)
    assert [shares[skin].laces for skin in "ABC"] == [2, 2, 0]
    assert shares["A"].wear(RATES) == Fraction("3.04")


def test_paid_help_is_book_cost_and_bears_overhead_but_no_wage() -> None:
    line = Line("paid_help", DAY, money=Decimal("30.00"), minutes=Decimal(120), own=False)
    share = share_out([line], [Stay("A", DAY)])[0]["A"]
    assert share.book() == 30
    assert share.own_time(RATES) == 0
    assert share.full(RATES) == 30 + 2 * 4
    assert share.hours() == 2
    assert share.own_hours() == 0


def test_paid_help_is_never_own_time_even_when_the_line_does_not_say_so() -> None:
    assert Line("paid_help", DAY, money=Decimal(30), minutes=Decimal(120)).own_minutes == 0


def test_unpaid_help_bears_overhead_only() -> None:
    share = share_out([Line("own_time", DAY, minutes=Decimal(60), own=False)], [Stay("A", DAY)])[0]["A"]
    assert share.book() == 0
    assert share.full(RATES) == 4


def test_the_owners_hours_are_never_in_book_cost() -> None:
    share = share_out([Line("own_time", DAY, minutes=Decimal(600))], [Stay("A", DAY)])[0]["A"]
    assert share.book() == 0
    assert share.full(RATES) == 200


def test_money_finer_than_the_smallest_coin_is_refused() -> None:
    line = Line("materials", DAY, money=Decimal("1.005"))
    with pytest.raises(ValueError, match=r"1\.005, finer than 2"):
        share_out([line], [Stay("A", DAY)], 2)
    assert share_out([line], [Stay("A", DAY)], 3)[0]["A"].materials == Fraction("1.005")


def test_lines_that_contradict_themselves_are_refused() -> None:
    with pytest.raises(ValueError, match="money paid for work is paid_help"):
        Line("own_time", DAY, money=Decimal(1))
    with pytest.raises(ValueError, match="time is its own line"):
        Line("materials", DAY, minutes=Decimal(1))


@pytest.mark.parametrize("weight", [0, -1])
def test_a_sharing_weight_must_be_above_zero(weight: int) -> None:
    with pytest.raises(ValueError, match="sharing weight"):
        Stay("A", DAY, None, Fraction(weight))


def test_a_skin_cannot_leave_before_it_joined() -> None:
    with pytest.raises(ValueError, match="before it joined"):
        Stay("A", DAY, DAY - timedelta(1))


def test_half_up_meets_the_exact_half_cent() -> None:
    shares, _ = share_out([Line("materials", DAY, money=Decimal("0.01"))], [Stay("A", DAY), Stay("B", DAY)])
    assert rounded(shares["A"], RATES, 2).book == Decimal("0.01")


DAYS = st.integers(0, 20).map(lambda n: DAY + timedelta(n))
MONEY = st.integers(-500_00, 500_00).map(lambda cents: Decimal(cents).scaleb(-2))


@st.composite
def batches(draw: st.DrawFn, min_skins: int = 0) -> tuple[list[Line], list[Stay]]:
    stays = []
    for number in range(draw(st.integers(min_skins, 4))):
        joined = draw(DAYS)
        stayed = draw(st.none() | st.integers(0, 12))
        left = None if stayed is None else joined + timedelta(stayed)
        stays.append(Stay(f"S{number}", joined, left, Fraction(draw(st.integers(1, 9000)), draw(st.integers(1, 7)))))
    names = st.lists(st.sampled_from([stay.skin for stay in stays]), max_size=2) if stays else st.just([])
    kinds: tuple[Kind, ...] = ("skin_price", "materials", "paid_help", "own_time")
    lines = []
    for _ in range(draw(st.integers(0, 5))):
        kind = draw(st.sampled_from(kinds))
        money = Decimal(0) if kind == "own_time" else draw(MONEY)
        minutes = Decimal(draw(st.integers(0, 600))) if kind in ("paid_help", "own_time") else Decimal(0)
        named = tuple(draw(names))
        lines.append(Line(kind, draw(DAYS), money, minutes, named, draw(st.booleans()), draw(st.booleans())))
    return lines, stays


@settings(max_examples=60, deadline=None)
@given(batches())
def test_shares_and_what_is_unshared_add_up_to_the_lines(batch: tuple[list[Line], list[Stay]]) -> None:
    lines, stays = batch
    shares, unshared = share_out(lines, stays, 2)
    total = sum(shares.values(), unshared)
    assert total.book() == sum(Fraction(line.money) for line in lines)
    assert total.minutes == sum(Fraction(line.minutes) for line in lines)
    assert total.own_minutes == sum(Fraction(line.own_minutes) for line in lines)
    assert total.laces == sum(len(takers(stays, line)) for line in lines if line.laced)
    if stays:
        assert unshared == Share()


@settings(max_examples=60, deadline=None)
@given(batches(min_skins=1))
def test_a_skin_takes_nothing_after_it_left_while_others_are_there(batch: tuple[list[Line], list[Stay]]) -> None:
    lines, stays = batch
    for line in lines:
        bearing = {stay.skin for stay in takers(stays, line)}
        gone = {stay.skin for stay in stays if stay.left is not None and stay.left < line.on}
        if not line.skins and present(stays, line.on):
            assert not bearing & gone


@settings(max_examples=60, deadline=None)
@given(batches(min_skins=1))
def test_rounding_moves_the_total_by_at_most_half_a_cent_a_skin(batch: tuple[list[Line], list[Stay]]) -> None:
    lines, stays = batch
    shares, _ = share_out(lines, stays, 2)
    costs = [rounded(share, RATES, 2) for share in shares.values()]
    limit = Fraction(1, 200) * len(shares)
    exact = sum(shares.values(), Share())
    assert abs(sum((Fraction(cost.book) for cost in costs), -exact.book())) <= limit
    assert abs(sum((Fraction(cost.full) for cost in costs), -exact.full(RATES))) <= limit


@settings(max_examples=40, deadline=None)
@given(batches(min_skins=1), st.integers(1, 9))
def test_splitting_a_share_and_joining_the_parts_gives_it_back(
    batch: tuple[list[Line], list[Stay]], pieces: int
) -> None:
    share = next(iter(share_out(*batch)[0].values()))
    assert sum([share.times(Fraction(1, pieces))] * pieces, Share()) == share


def test_adding_shares_adds_every_part() -> None:
    ones = Share(*(Fraction(1) for _ in fields(Share)))
    assert ones + ones == ones.times(2)


@given(st.lists(st.fractions(), min_size=len(fields(Share)), max_size=len(fields(Share))))
def test_a_share_written_as_text_is_read_again_exactly(parts: list[Fraction]) -> None:
    assert Share.read(Share(*parts).text()) == Share(*parts)


@pytest.mark.parametrize("wrong", ["", "0;0", "0;0;0;0;0;0;0;half"])
def test_text_that_is_no_share_is_refused(wrong: str) -> None:
    with pytest.raises(ValueError, match=r"no share|invalid literal"):
        Share.read(wrong)
