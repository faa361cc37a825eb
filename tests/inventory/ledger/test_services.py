from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from unittest.mock import patch

import pytest
from django.utils import timezone

from inventory.base import selectors as workshop_read
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, Refused, ShortStock
from inventory.ledger import selectors as read, services as ledger
from inventory.ledger.audit import selectors as audit
from inventory.models import Kind, Lot, LotDraw, Material, Movement, Posting
from tests.factories import DAY, material, receive, take

pytestmark = pytest.mark.django_db
D = Decimal
LATER = DAY + timedelta(days=1)
BOTH = pytest.mark.parametrize("flow", ["average", "fifo"])


def held(of: Material) -> tuple[Decimal, Decimal]:
    of.refresh_from_db()
    return of.on_hand, of.value


def value_of(posting: Posting) -> Decimal:
    return -posting.movements.get().value


def mixed(flow: str, code: str = "ALUMK") -> Material:
    """Two kilos: one at 4.00, one at 9.00."""
    workshop.set_up(cost_flow=flow)
    made = material(code)
    receive(made, 1, "4.00", DAY)
    receive(made, 1, "9.00", LATER)
    made.refresh_from_db()
    return made


def clean() -> None:
    assert list(audit.findings()) == []


@pytest.mark.parametrize(("flow", "worth", "rest"), [("average", "6.50", "6.50"), ("fifo", "4.00", "9.00")])
def test_issue_follows_the_cost_flow(flow: str, worth: str, rest: str) -> None:
    alum = mixed(flow)
    assert value_of(take(alum, 1, LATER)) == D(worth)
    assert held(alum) == (D(1000), D(rest))
    clean()


def test_fifo_draw_over_two_lots_names_both() -> None:
    alum = mixed("fifo")
    posting = take(alum, "1.5", LATER)
    assert [(draw.quantity, draw.value) for draw in LotDraw.objects.order_by("pk")] == [
        (D(-1000), D("-4.00")),
        (D(-500), D("-4.50")),
    ]
    assert value_of(posting) == D("8.50")
    clean()


@BOTH
def test_last_draw_takes_remaining_value(flow: str) -> None:
    workshop.set_up(cost_flow=flow)
    oil = material("OIL", "L", on_hand=3, value="10.00")
    assert [value_of(take(oil, 1)) for _ in range(3)] == [D("3.33"), D("3.34"), D("3.33")]
    assert held(oil) == (0, 0)
    clean()


def test_oldest_lot_is_drawn_first_under_the_average_too() -> None:
    alum = mixed("average")
    take(alum, "1.5", LATER)
    assert [(lot.quantity, lot.value) for lot in Lot.objects.order_by("pk")] == [(0, 0), (D(500), 0)]


def test_receipt_is_a_lot_that_expires_with_its_shelf_life() -> None:
    oil = material("OIL", "L", shelf_life_days=30, on_hand=2, value="9.00")
    lot = Lot.objects.get(material=oil)
    assert (lot.quantity, lot.on, lot.expires_on) == (D(2000), DAY, DAY + timedelta(days=30))


def test_short_stock_refuses_all_writes_nothing_and_names_every_short_line() -> None:
    alum, salt, cord = material("ALUMK", on_hand=1), material("SALT", on_hand=1), material("CORD", "m")
    draws = [ledger.Draw(alum, D(1500)), ledger.Draw(salt, D(1000)), ledger.Draw(cord, D(2000))]
    before = Movement.objects.count(), Posting.objects.count()
    with pytest.raises(ShortStock) as refusal:
        ledger.issue(kind=Kind.USE, on=DAY, draws=draws)
    assert refusal.value.lines == [("Material ALUMK", "1.5 kg", "1 kg"), ("Material CORD", "2 m", "0 m")]
    assert "SALT" not in str(refusal.value)
    assert "record the delivery, count the shelf" in str(refusal.value)
    assert (Movement.objects.count(), Posting.objects.count()) == before
    assert held(salt) == (D(1000), 0)


def test_two_draws_of_one_material_are_short_together() -> None:
    alum = material(on_hand=1)
    with pytest.raises(ShortStock) as refusal:
        ledger.issue(kind=Kind.USE, on=DAY, draws=[ledger.Draw(alum, D(600)), ledger.Draw(alum, D(600))])
    assert refusal.value.lines == [("Material ALUMK", "1.2 kg", "1 kg")]


def test_two_draws_of_one_material_are_both_written() -> None:
    alum = material(on_hand=1, value="10.00")
    ledger.issue(kind=Kind.USE, on=DAY, draws=[ledger.Draw(alum, D(400)), ledger.Draw(alum, D(600))])
    assert held(alum) == (0, 0)
    clean()


def test_nothing_can_be_taken_before_it_came() -> None:
    alum = material()
    receive(alum, 2, 8, LATER)
    with pytest.raises(ShortStock) as refusal:
        take(alum, 1, DAY)
    assert refusal.value.lines == [("Material ALUMK", "1 kg", "0 kg")]


def test_back_dated_draw_must_leave_enough_for_every_later_day() -> None:
    alum = material(on_hand=2, value=8)
    take(alum, "1.5", LATER)
    receive(alum, 5, 20, LATER + timedelta(days=1))
    alum.refresh_from_db()
    assert read.available(alum, DAY) == D(500)
    with pytest.raises(ShortStock):
        take(alum, "0.6", DAY)
    take(alum, "0.5", DAY)
    assert held(alum) == (D(5000), D(20))
    clean()


@BOTH
def test_back_dated_draw_never_costs_more_than_the_shelf_was_worth_that_day(flow: str) -> None:
    workshop.set_up(cost_flow=flow)
    alum = material(on_hand=1, value="4.00")
    receive(alum, 1, "9.00", LATER)
    take(alum, 1, DAY)
    assert read.balances(DAY)[alum.pk] == (0, 0)
    assert held(alum) == (D(1000), D("9.00"))
    clean()


@BOTH
def test_back_dated_draw_that_the_day_could_not_have_paid_for_is_refused(flow: str) -> None:
    """What is left now is not what was there then: no value fits both days, so nothing is written."""
    alum = mixed(flow)
    take(alum, 1, LATER + timedelta(days=1))
    before = held(alum)
    with pytest.raises(Refused, match="write them again in the order of their days"):
        take(alum, 1, DAY)
    assert held(alum) == before
    clean()


@pytest.mark.parametrize("quantity", ["0", "-1"])
def test_a_draw_or_an_arrival_of_nothing_or_less_is_refused(quantity: str) -> None:
    alum = material(on_hand=1)
    with pytest.raises(Refused, match="more than nothing"):
        ledger.issue(kind=Kind.USE, on=DAY, draws=[ledger.Draw(alum, D(quantity))])
    with pytest.raises(Refused, match="more than nothing"):
        ledger.receive(kind=Kind.RECEIPT, on=DAY, arrivals=[ledger.Arrival(alum, D(quantity), D(1))])
    assert Posting.objects.count() == 1


def test_a_posting_without_lines_is_refused() -> None:
    with pytest.raises(Refused, match="Nothing was entered"):
        ledger.issue(kind=Kind.USE, on=DAY, draws=[])
    with pytest.raises(Refused, match="Nothing was entered"):
        ledger.receive(kind=Kind.RECEIPT, on=DAY, arrivals=[])
    assert not Posting.objects.exists()


def test_a_negative_value_is_refused() -> None:
    with pytest.raises(Refused, match="cannot be negative"):
        receive(material(), 1, "-0.01")


@pytest.mark.parametrize("reason", ["a\x07", "x" * 201, "a\x00b"])
def test_a_reason_that_cannot_be_kept_is_refused(reason: str) -> None:
    alum = material(on_hand=2, value=8)
    posting = take(alum, 1)
    with pytest.raises(Refused):
        ledger.issue(kind=Kind.OTHER, on=DAY, draws=[ledger.Draw(alum, D(1))], reason=reason)
    with pytest.raises(Refused):
        ledger.receive(kind=Kind.OPENING, on=DAY, arrivals=[ledger.Arrival(alum, D(1), D(0))], reason=reason)
    with pytest.raises(Refused):
        ledger.count(on=DAY, material=alum, counted=D(1), reason=reason)
    with pytest.raises(Refused):
        ledger.reverse(posting=posting, reason=reason)


def test_a_reversal_needs_a_reason() -> None:
    with pytest.raises(Refused, match="The reason is missing"):
        ledger.reverse(posting=take(material(on_hand=1), 1), reason=" ")


def test_nothing_is_posted_on_or_before_the_day_the_books_are_closed_to() -> None:
    alum = material(on_hand=2, value=8)
    workshop.close_books(to=DAY)
    for entry in (
        lambda: take(alum, 1, DAY),
        lambda: receive(alum, 1, 4, DAY),
        lambda: ledger.count(on=DAY, material=alum, counted=D(1)),
    ):
        with pytest.raises(ClosedPeriod, match="closed to 2025-03-04"):
            entry()
    take(alum, 1, LATER)
    assert held(alum)[0] == D(1000)


def test_a_day_far_ahead_or_long_ago_is_refused() -> None:
    alum = material(on_hand=1)
    with pytest.raises(Refused, match="too far in the future"):
        take(alum, 1, timezone.localdate() + timedelta(days=367))
    with pytest.raises(Refused, match="before 1970"):
        receive(alum, 1, 1, date(1969, 12, 31))


def test_a_count_that_agrees_posts_nothing() -> None:
    alum = material(on_hand=1, value=4)
    assert ledger.count(on=DAY, material=alum, counted=D(1000)) is None
    assert Posting.objects.count() == 1


@pytest.mark.parametrize(("flow", "worth"), [("average", "3.25"), ("fifo", "2.00")])
def test_a_count_that_finds_less_takes_it_out_at_cost(flow: str, worth: str) -> None:
    alum = mixed(flow)
    posting = ledger.count(on=LATER, material=alum, counted=D(1500))
    assert posting is not None
    assert (value_of(posting), posting.kind, posting.reason) == (D(worth), Kind.COUNT, "count difference")
    clean()


@BOTH
def test_a_count_that_finds_more_brings_it_in_at_the_average(flow: str) -> None:
    alum = mixed(flow)
    ledger.count(on=LATER, material=alum, counted=D(2500))
    assert held(alum) == (D(2500), D("16.25"))
    clean()


def test_a_count_on_an_empty_shelf_finds_goods_without_value() -> None:
    alum = material()
    ledger.count(on=DAY, material=alum, counted=D(500))
    assert held(alum) == (D(500), 0)


def test_a_count_is_held_against_its_own_day() -> None:
    alum = material(on_hand=2, value=8)
    receive(alum, 1, 4, LATER)
    posting = ledger.count(on=DAY, material=alum, counted=D(1500))
    assert posting is not None
    assert posting.movements.get().quantity == D(-500)
    assert held(alum) == (D(2500), D(10))


def test_a_count_to_nothing_takes_all_value() -> None:
    alum = material(on_hand=3, value="10.01")
    ledger.count(on=DAY, material=alum, counted=D(0))
    assert held(alum) == (0, 0)


def test_a_negative_count_is_refused() -> None:
    with pytest.raises(Refused, match="cannot be negative"):
        ledger.count(on=DAY, material=material(), counted=D(-1))


@BOTH
def test_taking_back_an_issue_restores_quantity_value_and_lots(flow: str) -> None:
    alum = mixed(flow)
    lots = list(Lot.objects.order_by("pk").values())
    before = held(alum)
    back = ledger.reverse(posting=take(alum, "1.3", LATER), reason="wrong jar")
    assert held(alum) == before
    assert list(Lot.objects.order_by("pk").values()) == lots
    assert (back.kind, back.on, back.reverses_id) == (Kind.USE, LATER, back.pk - 1)
    clean()


@BOTH
def test_taking_back_goods_that_nobody_touched_removes_them(flow: str) -> None:
    workshop.set_up(cost_flow=flow)
    alum = material(on_hand=1, value="4.00")
    ledger.reverse(posting=receive(alum, 1, "9.00"), reason="wrong supplier")
    assert held(alum) == (D(1000), D("4.00"))
    clean()


def test_two_lines_of_one_material_are_taken_back_together() -> None:
    alum = material()
    arrivals = [ledger.Arrival(alum, D(1000), D(4)), ledger.Arrival(alum, D(1000), D(9))]
    posting = ledger.receive(kind=Kind.RECEIPT, on=DAY, arrivals=arrivals)
    ledger.reverse(posting=posting, reason="never came")
    assert held(alum) == (0, 0)
    clean()


def test_average_goods_go_back_newest_first() -> None:
    alum = material(on_hand=1, value="4.00")
    receipt = receive(alum, 1, "9.00")
    used = take(alum, "0.1")
    with pytest.raises(Refused, match="Reverse the later entries first, newest first"):
        ledger.reverse(posting=receipt, reason="x")
    ledger.reverse(posting=used, reason="x")
    ledger.reverse(posting=receipt, reason="x")
    assert held(alum) == (D(1000), D("4.00"))
    clean()


def test_fifo_goods_go_back_while_their_lot_is_whole() -> None:
    alum = mixed("fifo")
    first, second = Posting.objects.order_by("pk")
    take(alum, "0.5", LATER)
    ledger.reverse(posting=second, reason="x")
    assert held(alum) == (D(500), D("2.00"))
    with pytest.raises(Refused, match="moved after this entry"):
        ledger.reverse(posting=first, reason="x")
    clean()


def test_goods_that_a_past_day_stood_on_cannot_be_taken_back() -> None:
    """The draw of the first day was served from the later lot; without the first lot that day would hold less than nothing."""
    workshop.set_up(cost_flow="fifo")
    alum = material()
    first = receive(alum, 1, "4.00", DAY)
    receive(alum, 1, "4.00", LATER)
    last = take(alum, 1, LATER + timedelta(days=2))
    take(alum, 1, DAY)
    ledger.reverse(posting=last, reason="x")
    with pytest.raises(Refused, match="Reverse the later entries first"):
        ledger.reverse(posting=first, reason="x")
    assert read.balances(DAY)[alum.pk][0] == 0
    clean()


def test_a_reversal_or_a_reversed_posting_is_not_taken_back_again() -> None:
    posting = take(material(on_hand=1), 1)
    back = ledger.reverse(posting=posting, reason="x")
    for done in (posting, back):
        with pytest.raises(Refused, match="reversed already"):
            ledger.reverse(posting=done, reason="x")


def test_a_reversal_over_a_closed_day_needs_a_later_one() -> None:
    posting = take(material(on_hand=1), 1)
    workshop.close_books(to=DAY)
    with pytest.raises(ClosedPeriod):
        ledger.reverse(posting=posting, reason="x")
    assert ledger.reverse(posting=posting, reason="x", on=LATER).on == LATER
    clean()


def test_nothing_is_taken_back_before_it_happened() -> None:
    with pytest.raises(Refused, match="before it happened"):
        ledger.reverse(posting=take(material(on_hand=1), 1), reason="x", on=DAY - timedelta(days=1))


@pytest.mark.parametrize("flows", [("average", "fifo"), ("fifo", "average")])
def test_an_issue_is_taken_back_after_the_cost_flow_changed(flows: tuple[str, str]) -> None:
    alum = mixed(flows[0])
    before = held(alum)
    posting = take(alum, "1.5", LATER)
    workshop.set_up(cost_flow=flows[1])
    ledger.reverse(posting=posting, reason="x")
    assert held(alum) == before
    clean()
    take(alum, 2, LATER)
    assert held(alum) == (0, 0)
    clean()


def test_goods_whose_lot_was_valued_anew_are_not_reversed_at_another_value() -> None:
    mixed("average")
    first, second = Posting.objects.order_by("pk")
    workshop.set_up(cost_flow="fifo")
    for posting in (first, second):
        with pytest.raises(Refused, match="revalued"):
            ledger.reverse(posting=posting, reason="x")
    clean()


def test_what_was_typed_stays_beside_what_was_posted() -> None:
    alum = material(on_hand=1)
    ledger.issue(kind=Kind.USE, on=DAY, draws=[ledger.Draw(alum, D(500), "1/2 kg"), ledger.Draw(alum, D(5), "9" * 70)])
    assert [move.typed for move in Movement.objects.order_by("pk")[1:]] == ["1/2 kg", "9" * 60]


def test_movement_keeps_its_month_as_a_number() -> None:
    take(material(on_hand=1), 1, date(2025, 12, 31))
    assert Movement.objects.latest("pk").month == 2025 * 12 + 11


def test_a_posting_that_waited_for_its_shelf_is_valued_by_the_method_that_was_chosen_meanwhile() -> None:
    alum = material(on_hand=1, value="4.00")
    receive(alum, 1, "9.00")
    with workshop_read.remembered():
        assert workshop_read.current().cost_flow == "average"
        with patch.object(workshop_read, "forget"):  # in another process, which cannot make this one forget
            workshop.set_up(cost_flow="fifo")
        posting = take(alum, "0.5")
    assert [draw.value for draw in LotDraw.objects.filter(movement__posting=posting)] == [D("-3.25")]
