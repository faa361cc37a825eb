"""The demonstration's year read back: every golden figure of its results, by selector, command, page and file."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from costing.results import of_sales
from costing.selectors import given, limit, look_back, money, results, waiting
from costing.services import labour, terms

pytestmark = pytest.mark.usefixtures("demo", "type_is_cut")
D = Decimal
FIRST, LAST = date(2025, 1, 1), date(2025, 12, 31)


def on(month: int, day: int, year: int = 2025) -> date:
    return date(year, month, day)


class TestTheDemonstration:
    """Figures of the worked year; the arithmetic behind each stands in `costing.results`."""

    def test_both_profits_and_the_bridge_come_out(self) -> None:
        year = results.year(2025)
        assert year.turnover == D("1125.90")
        assert year.selling.total == D("254.42")
        assert (year.selling.fees, year.selling.postage) == (D("70.82"), D("16.60"))
        assert (year.selling.pitches, year.selling.fuel) == (D(125), D(42))
        assert (year.stock_profit, year.cash_profit) == (D("268.41"), D("105.48"))
        assert (year.bridge.difference, year.bridge.stock, year.bridge.miss) == (D("162.93"), D("162.93"), 0)
        assert (year.per_hour, year.per_making_hour, year.hours) == (D("2.30"), D("3.80"), Fraction("116.55"))
        assert (year.overheads.recovered, year.overheads.short) == (D("282.20"), D("101.80"))

    def test_what_left_the_stock_is_told_to_the_cent(self) -> None:
        year = results.year(2025)
        assert (year.stock.opening, year.stock.materials, year.stock.skins) == (D("42.89"), D(236), D(146))
        assert (year.stock.closing, year.stock.used) == (D("205.82"), D("219.07"))
        gone = year.gone
        assert (gone.sold, gone.spoiled, gone.boxes, gone.differences) == (
            D("171.89"),
            D("36.82"),
            D("7.97"),
            D("2.39"),
        )
        assert (gone.own_use, gone.given, gone.other, gone.sharing) == (0, 0, 0, 0)
        assert year.conservation.miss == 0
        held = year.parts
        assert (held.consumables, held.raw_skins, held.in_work, held.finished) == (
            D("148.80"),
            D("19.52"),
            0,
            D("37.50"),
        )
        assert held.with_others == D("20.23"), "the rug at the gallery is still the maker's"

    def test_the_year_before_and_the_year_after_hang_on_to_it(self) -> None:
        before, after = results.year(2024), results.year(2026)
        assert (before.stock.closing, before.turnover) == (0, 0)
        assert (after.stock.opening, after.stock.closing) == (D("205.82"), D("205.82"))
        assert before.conservation.miss == after.conservation.miss == after.bridge.miss == 0

    @pytest.mark.parametrize(
        ("piece", "taken", "selling_cost", "left", "hours", "per_hour", "against_full"),
        [
            ("H01", "170.00", "0", "149.77", "8.25", "18.15", "-16.75"),
            ("H05", "10.00", "0", "-26.82", "2.43", "-11.02", "-75.49"),
            ("J-01", "165.00", "0", "155.30", "8.98", "17.30", "-25.72"),
            ("H02", "197.90", "26.86", "150.81", "8.00", "18.85", "-10.71"),
            ("H04", "240.00", "4.56", "190.74", "9.31", "20.49", "3.06"),
            ("H07", "140.00", "51.60", "50.55", "6.50", "7.78", "-80.98"),
            ("H09", "32.00", "0", "27.36", "1.58", "17.28", "-4.31"),
            ("CUSH1", "95.00", "1.81", "83.90", "5.50", "15.25", "-26.10"),
            ("H12", "0", "10.56", "-10.56", "0", None, "-10.56"),
        ],
    )
    def test_a_piece_left_what_the_worked_year_says(
        self, piece: str, taken: str, selling_cost: str, left: str, hours: str, per_hour: str | None, against_full: str
    ) -> None:
        row = results.by("piece", FIRST, LAST)[piece]
        assert (row.taken, row.selling, row.left, row.hours) == (D(taken), D(selling_cost), D(left), D(hours))
        assert row.per_hour == (None if per_hour is None else D(per_hour))
        assert row.against_full == D(against_full)

    def test_two_pouches_of_one_skin_left_what_one_line_says(self) -> None:
        sold = [row for row in results.pieces(FIRST, LAST) if row.what.startswith("H08")]
        both = of_sales(sold)
        assert (both.taken, both.left, both.hours, both.per_hour) == (D(76), D("50.76"), D("6.11"), D("8.31"))
        assert both.against_full == D("-72.47")

    def test_every_group_makes_up_the_whole(self) -> None:
        whole = of_sales(results.pieces(FIRST, LAST))
        assert (whole.taken, whole.book) == (D("1125.90"), D("208.71"))
        for group in results.GROUPS:
            parts = results.by(group, FIRST, LAST).values()
            for name in ("count", "taken", "selling"):
                assert sum(getattr(part, name) for part in parts) == getattr(whole, name), (group, name)

    def test_the_best_paid_species_stands_first(self) -> None:
        species = results.by("species", FIRST, LAST)
        assert list(species) == ["sheep", "reindeer", "rabbit", "goat"]
        assert species["goat"].per_hour == D("8.03")

    def test_fairs_left_what_the_worked_year_says(self) -> None:
        rows = {row.fair.name: row for row in look_back.at(2025).fairs}
        assert {name: (row.result.left, row.result.per_stall_hour) for name, row in rows.items()} == {
            "Spring fair": (D("102.77"), D("14.68")),
            "Midsummer fair": (D("122.74"), D("13.64")),
            "Christmas market": (D("110.02"), D("13.75")),
        }
        assert rows["Spring fair"].break_even == D("53.35")
        assert rows["Christmas market"].result.goods == D("39.17")

    def test_the_deposit_was_held_in_spring(self) -> None:
        assert [money.deposits_held(day) for day in (on(3, 1), on(4, 1), on(5, 24))] == [0, D(66), 0]

    def test_what_was_let_go_stands_by_reason(self) -> None:
        found = {(row.kind, row.reason): (row.count, row.amount) for row in given.given(FIRST, LAST)}
        assert found[("discount", "Spring fair")] == (1, D(15))
        assert {key[0]: value for key, value in found.items()} == {
            "discount": (1, D(15)),
            "return": (1, D("39.90")),
            "spoiled": (1, D("36.82")),
            "deposit taken": (1, D(66)),
        }

    def test_a_rug_lay_longer_than_hands_were_on_it(self) -> None:
        found = {row.piece: row for row in waiting.hands(FIRST, LAST).waited}
        rug = found["H01"]
        assert (rug.date_in, rug.to_finish, rug.days, rug.hours) == (on(1, 11), 42, 91, D("8.25"))
        assert rug.left_on == on(4, 12)
        assert (found["H03"].left_on, found["H03"].days) == (None, 354)
        assert found["H12"].left_on is None, "it came back"

    def test_skins_salted_without_a_minute_are_asked_after(self) -> None:
        found = waiting.hands(FIRST, LAST).unlogged
        assert [(row.tag, row.minutes, row.usual) for row in found] == [("H13", 0, None), ("H14", 0, None)]
        labour.log(on=on(12, 13), task="flesh, salt", minutes=D(20), tags=["H13", "H14"])
        assert waiting.hands(FIRST, LAST).unlogged == []

    def test_turnover_stands_against_the_limit_of_the_terms(self) -> None:
        terms.set_terms(turnover_limit=D(1000))
        standing = limit.standing(LAST)
        assert standing is not None
        assert (standing.turnover, standing.used_percent, standing.left) == (D("1125.90"), D("112.6"), 0)
        assert standing.passed_on == on(11, 29)
        terms.set_terms(turnover_limit=D(1000), rolling=True)
        rolling = limit.standing(on(4, 24, 2026))
        assert rolling is not None
        assert (rolling.first, rolling.turnover) == (on(4, 25), D("955.90"))
        terms.set_terms(turnover_limit=None)
        assert limit.standing(LAST) is None
