"""The year-end stock sheet: cost, the lower of cost and what it would bring, and customers' skins at nil."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import given, settings, strategies as st

from costing.report.valuation.stock_sheet.rules import Counted, Group, realisable, sheet
from tests.properties import FURTHER

D = Decimal
FEWER = settings(max_examples=40 * FURTHER)
PIECE = D(1)

FINISHED = [
    Counted(Group.FINISHED, "H03 rug", PIECE, "piece", D("20.23"), D("185.00"), "Savupirtti", with_others=True),
    Counted(Group.FINISHED, "H12 fur", PIECE, "piece", D("4.65"), D("31.79"), "shed"),
    Counted(Group.FINISHED, "H08 pouch", PIECE, "piece", D("12.62"), D("38.00"), "shed"),
]

YEAR_END = [
    *FINISHED,
    Counted(Group.CONSUMABLES, "all materials", PIECE, "shelf", D("148.80")),
    Counted(Group.RAW, "H13, H14 in salt", D(2), "piece", D("19.52")),
    Counted(Group.CUSTOMERS, "a customer's skin", PIECE, "piece", D("9.70"), D("165.00")),
]

COINS = st.integers(0, 100_000).map(lambda cents: Decimal(cents).scaleb(-2))

LINES = st.builds(
    Counted,
    st.sampled_from(Group),
    st.just("x"),
    st.just(PIECE),
    st.just("piece"),
    COINS,
    st.none() | COINS,
    st.just(""),
    st.booleans(),
)


def test_the_closing_stock_of_the_year() -> None:
    found = sheet(YEAR_END)
    assert found.total.value == D("205.82")
    values = {group: total.value for group, total in found.groups.items()}
    assert values == {
        Group.CONSUMABLES: D("148.80"),
        Group.RAW: D("19.52"),
        Group.IN_WORK: D(0),
        Group.FINISHED: D("37.50"),
        Group.CUSTOMERS: D(0),
    }
    assert found.with_others.value == D("20.23")
    assert found.total.lower == D("205.82")


def test_the_sheet_is_in_the_order_of_its_groups_and_keeps_that_of_its_lines() -> None:
    found = [line.what for line in sheet(YEAR_END).lines]
    assert found[0] == "all materials"
    assert found[2:5] == [line.what for line in FINISHED]
    assert found[-1] == "a customer's skin"


def test_a_gain_on_one_thing_does_not_make_up_for_a_loss_on_another() -> None:
    worn = Counted(Group.FINISHED, "worn rug", PIECE, "piece", D("20.00"), D("12.00"))
    found = sheet([worn, Counted(Group.FINISHED, "good rug", PIECE, "piece", D("20.00"), D("90.00"))])
    assert (found.total.value, found.total.lower) == (D("40.00"), D("32.00"))


def test_a_line_without_a_price_stays_at_cost() -> None:
    assert Counted(Group.CONSUMABLES, "salt", D("60.82"), "kg", D("33.67")).lower == D("33.67")


def test_what_nobody_would_buy_is_worth_nothing_and_not_less() -> None:
    assert realisable(D("10.00"), to_complete=D("4.00"), to_sell=D("7.00")) == D("0.00")
    assert Counted(Group.FINISHED, "x", PIECE, "piece", D("5.00"), D("0.00")).lower == 0


@FEWER
@given(st.lists(LINES, max_size=12))
def test_groups_add_up_to_the_sheet_and_the_lower_value_is_never_above_cost(lines: list[Counted]) -> None:
    found = sheet(lines)
    assert sum(total.value for total in found.groups.values()) == found.total.value
    assert len(found.lines) == len(lines)
    assert sum(total.lower for total in found.groups.values()) == found.total.lower <= found.total.value
    assert found.with_others.value <= found.total.value
    assert found.groups[Group.CUSTOMERS].value == 0
    assert found.total.value == sum(line.cost for line in lines if line.group is not Group.CUSTOMERS)
