"""A delivery of which something was used since is taken out again: quantity, value, days, lots, and what the reports say."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from costing.models import Batch, Use
from costing.report.audit import selectors as audit
from costing.report.year.profit import selectors as profit
from inventory.base.accounting import services as workshop
from inventory.deliveries import selectors as deliveries_read
from inventory.deliveries.corrections import selectors as read, services as corrections
from inventory.errors import ClosedPeriod, NotAllowed, Refused
from inventory.ledger import selectors as ledger_read, services as ledger
from inventory.ledger.costflow import Balance
from inventory.ledger.usage import selectors as usage
from inventory.models import CorrectedLine, Delivery, Kind, Lot, Material, Posting
from inventory.suppliers import selectors as suppliers
from tests.at_once import together
from tests.factories import DAY, batch, delivery, line, material, person, put

pytestmark = pytest.mark.django_db
D = Decimal
FLOWS = pytest.mark.parametrize("flow", ["average", "fifo"])


def day(nth: int) -> date:
    return DAY + timedelta(days=nth)


def correct(of: Delivery, on: date = DAY, **more: object) -> Posting:
    return corrections.correct(delivery=of, on=on, reason="entered twice", **more)  # type: ignore[arg-type]


def shelf(of: Material) -> tuple[Decimal, Decimal]:
    of.refresh_from_db()
    return of.on_hand, of.value


def use(of: Material, quantity: str | int, on: date = DAY) -> Use:
    return put(Batch.objects.first() or batch(), of, quantity, on)


def twice(of: Material, **options: object) -> tuple[Delivery, Delivery]:
    """2 kg at 10.00 with 1.00 of carriage, entered two times."""
    return tuple(delivery(line(of, 1, 2, "10.00"), carriage=1, **options) for _ in range(2))  # type: ignore[return-value, arg-type]


@pytest.mark.thorough(but=2)
@FLOWS
@pytest.mark.parametrize("which", [0, 1])
def test_entered_twice_and_used_since_all_of_one_is_taken_out(flow: str, which: int) -> None:
    workshop.set_up(cost_flow=flow)
    alum = material()
    came = twice(alum)
    use(alum, "0.5", day(1))
    back = correct(came[which])
    assert shelf(alum) == (D(1500), D("8.25"))
    assert back.kind == Kind.CORRECTED
    assert audit.findings() == []


@pytest.mark.thorough(but=1)
@FLOWS
def test_what_was_used_cannot_be_taken_out_and_keeps_its_cost(flow: str) -> None:
    workshop.set_up(cost_flow=flow)
    alum = material()
    _, second = twice(alum)
    used = use(alum, 3, day(1))
    (part,) = read.parts(list(deliveries_read.lines(second)), DAY)
    assert (part.quantity, part.value, part.used, part.rest) == (D(1000), D("5.50"), D(1000), D("5.50"))
    correct(second)
    assert shelf(alum) == (0, 0)
    assert used.posting.movements.get().value == D("-16.50")
    assert audit.findings() == []


def test_under_the_average_it_leaves_at_what_it_came_in_with_so_that_bought_is_what_was_paid() -> None:
    alum = material(on_hand=1, value="2.00")
    _, second = twice(alum)
    use(alum, "0.5", day(1))  # at 4.80 a kg, where 4.33 would have been right
    correct(second)
    assert shelf(alum) == (D(2500), D("10.60"))
    (flow,) = usage.flows(usage.month_of(DAY))
    assert flow.received == Balance(D(2000), D("11.00"))
    assert flow.used == Balance(D(500), D("2.40"))
    assert flow.other == Balance()
    assert profit.year(DAY.year).stock.materials == D("11.00")


def test_a_shelf_that_is_emptied_gives_all_its_value_and_the_difference_is_told() -> None:
    alum = material(on_hand=1, value="2.00")
    _, second = twice(alum)
    use(alum, 3, day(1))
    (part,) = read.parts(list(deliveries_read.lines(second)), DAY)
    assert (part.value, part.used, part.rest) == (D("9.60"), 0, D("1.40"))
    correct(second)
    assert shelf(alum) == (0, 0)
    assert audit.findings() == []


def test_first_in_first_out_takes_its_own_lot_then_the_oldest() -> None:
    workshop.set_up(cost_flow="fifo")
    alum = material()
    first, second = twice(alum)
    use(alum, "1.5", day(1))
    correct(first)
    assert list(Lot.objects.order_by("pk").values_list("quantity", "value")) == [(0, 0), (D(500), D("2.75"))]
    assert deliveries_read.correction(second) is None


@pytest.mark.thorough(but=1)
@FLOWS
def test_each_line_bears_its_carriage_and_two_lines_of_one_material_go_one_after_the_other(flow: str) -> None:
    workshop.set_up(cost_flow=flow)
    alum, soda = material("ALUMK"), material("SODA")
    lines = [line(alum, 1, 2, "10.00"), line(soda, 1, 1, "5.00"), line(alum, 1, 1, "5.00")]
    delivery(*lines, carriage="2.00")
    second = delivery(*lines, carriage="2.00")
    use(alum, 4, day(1))
    correct(second)
    assert shelf(alum) == (0, 0)
    assert shelf(soda) == (D(1000), D("5.50"))
    assert CorrectedLine.objects.count() == 2
    assert audit.findings() == []


def test_no_day_is_left_below_nothing_and_a_later_day_takes_more() -> None:
    alum = material()
    _, second = twice(alum)
    use(alum, "3.5", day(3))
    delivery(line(alum, 1, 5, "30.00"), on=day(6))
    lines = list(deliveries_read.lines(second))
    assert read.parts(lines, DAY)[0].quantity == D(500)
    assert read.parts(lines, day(6))[0].quantity == D(2000)
    correct(second)
    assert ledger_read.balances(day(3))[alum.pk] == (0, 0)
    assert audit.findings() == []


def test_the_day_offered_is_that_of_the_delivery_while_all_can_be_taken_out_then() -> None:
    workshop.pin_today(on=day(9))
    alum = material()
    _, second = twice(alum)
    assert read.best_day(second, list(deliveries_read.lines(second))) == DAY
    use(alum, "3.5", day(3))
    assert read.best_day(second, list(deliveries_read.lines(second))) == day(9)


def test_closed_days_stay_as_they_are() -> None:
    workshop.pin_today(on=day(9))
    alum = material()
    _, second = twice(alum)
    use(alum, "0.5", day(1))
    workshop.close_books(to=day(2))
    assert read.best_day(second, list(deliveries_read.lines(second))) == day(9)
    with pytest.raises(ClosedPeriod):
        correct(second)
    correct(second, day(9))
    assert ledger_read.balances(day(2))[alum.pk].quantity == D(3500)
    assert shelf(alum) == (D(1500), D("8.25"))


@pytest.mark.thorough(but=1)
@FLOWS
def test_a_correction_is_reversed_and_the_delivery_stands_again(flow: str) -> None:
    workshop.set_up(cost_flow=flow)
    alum = material()
    _, second = twice(alum)
    use(alum, 3, day(1))
    before = list(Lot.objects.order_by("pk").values_list("quantity", "value"))
    back = correct(second)
    assert second not in deliveries_read.standing()
    ledger.reverse(posting=back, reason="it did come twice")
    assert shelf(alum) == (D(1000), D("5.50"))
    assert list(Lot.objects.order_by("pk").values_list("quantity", "value")) == before
    assert second in deliveries_read.standing()
    correct(second)
    assert audit.findings() == []


def test_what_is_corrected_counts_as_no_delivery_any_more() -> None:
    alum = material()
    _, second = twice(alum)
    use(alum, "0.5", day(1))
    assert suppliers.suppliers().get().brought == 2
    correct(second)
    assert suppliers.suppliers().get().brought == 1
    assert [row.corrected for row in deliveries_read.deliveries()] == [True, False]


@pytest.mark.parametrize("what", ["twice", "reversed", "used up", "before it came", "no reason", "another figure"])
def test_what_cannot_be_corrected_is_refused_and_nothing_is_written(what: str) -> None:
    alum = material()
    came = delivery(line(alum))
    seen: str | None = None
    if what == "twice":
        correct(came)
    elif what == "reversed":
        ledger.reverse(posting=came.posting, reason="wrong")
    elif what == "used up":
        use(alum, 2)
    elif what == "another figure":
        seen = read.seen(read.parts(list(deliveries_read.lines(came)), DAY))
        use(alum, "0.5", day(1))
    before = Posting.objects.count()
    said = {
        "twice": "corrected already",
        "reversed": "reversed already",
        "used up": "all of it was used",
        "before it came": "before it came",
        "no reason": "reason is missing",
        "another figure": "figures below are new",
    }[what]
    with pytest.raises(Refused, match=said):
        corrections.correct(
            delivery=came,
            on=day(-1) if what == "before it came" else DAY,
            reason="" if what == "no reason" else "entered twice",
            seen=seen,
        )
    assert Posting.objects.count() == before


def test_one_key_corrects_once_and_only_who_records_goods_may() -> None:
    alum = material()
    _, second = twice(alum)
    assert correct(second, request_key="k") == correct(second, request_key="k")
    assert correct(delivery(line(alum)), by=person("bookkeeper")).written_by is not None
    with pytest.raises(NotAllowed):
        correct(delivery(line(alum)), by=person("visitor"))


@pytest.mark.slow
@pytest.mark.usefixtures("shared_database")
def test_of_two_hands_at_once_one_corrects() -> None:
    alum = material()
    _, second = twice(alum)
    use(alum, "0.5", day(1))
    answers = together(lambda: correct(second), lambda: correct(second))
    assert sorted(type(answer).__name__ for answer in answers) == ["Posting", "Refused"]
    assert shelf(alum)[0] == D(1500)


def test_the_audit_sees_a_correction_that_no_line_names_or_that_took_too_much() -> None:
    alum = material()
    _, second = twice(alum)
    correct(second)
    CorrectedLine.objects.all().delete()
    assert any("no line of one names it" in each for each in audit.findings())
