"""Orders: placed, delivered in parts, closed; what is outstanding and coming of them."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.base.accounting import services as workshop
from inventory.deliveries import services as deliveries
from inventory.deliveries.corrections import services as corrections
from inventory.errors import NotAllowed, Refused, Taken
from inventory.ledger import services as ledger
from inventory.models import Delivery, Material, Movement, Order, OrderLine, Supplier
from inventory.orders import selectors as orders_read, services as orders
from inventory.orders.receipts import services as receipts
from inventory.orders.rules import State
from inventory.suppliers import services as suppliers
from tests.at_once import together
from tests.factories import DAY, days_from, delivery, line, material, owner, person, supplier, take

pytestmark = pytest.mark.django_db
D = Decimal
day = days_from(DAY)


def asked(
    of: Material, packs: str | int = 2, pack: str | int = 25, price: str | None = "11.50", unit: str = ""
) -> orders.Line:
    return orders.Line(of, D(packs), D(pack), unit or of.unit, None if price is None else D(price))


def order(*lines: orders.Line, on: date = DAY, of: str = "Utuharju Chemicals", **said: Any) -> Order:
    return orders.place(supplier=supplier(of), on=on, lines=lines, **said)


def state(of: Order) -> State:
    of.refresh_from_db()
    return orders_read.standing(of).state


def rests(of: Order) -> list[Decimal]:
    return [each.rest for each in orders_read.standing(of).lines]


def test_an_order_is_a_promise_and_moves_nothing() -> None:
    salt = material("SALT")
    made = order(asked(salt), due_on=day(9), ref="A-77", note="by carrier", by=owner())
    salt.refresh_from_db()
    assert (made.number, made.due_on, made.ref, made.note, made.written_by) == (
        "O1",
        day(9),
        "A-77",
        "by carrier",
        owner(),
    )
    kept = OrderLine.objects.get()
    assert (kept.packs, kept.pack_quantity, kept.quantity, kept.pack_price) == (D(2), D(25000), D(50000), D("11.50"))
    assert salt.on_hand == 0
    assert not Movement.objects.exists()
    assert state(made) == State.ORDERED


def test_numbers_follow_the_highest_and_one_may_be_given() -> None:
    salt = material("SALT")
    assert [order(asked(salt)).number for _ in range(2)] == ["O1", "O2"]
    assert order(asked(salt), number="O7").number == "O7"
    assert order(asked(salt)).number == "O8"
    with pytest.raises(Taken, match="o7 is used already"):
        order(asked(salt), number="o7")


def test_what_came_in_parts_is_outstanding_no_more() -> None:
    salt, alum = material("SALT"), material("ALUMK")
    made = order(asked(salt), asked(alum, 3, 2))
    receipts.receive(order=made, on=day(5), lines=[line(salt, 1, 25), line(alum, 3, 2)])
    assert rests(made) == [D(25000), D(0)]
    assert state(made) == State.PART
    receipts.receive(order=made, on=day(9))
    assert rests(made) == [D(0), D(0)]
    assert state(made) == State.DELIVERED


def test_two_lines_of_one_material_share_what_came() -> None:
    salt = material("SALT")
    made = order(asked(salt, 2, 25), asked(salt, 3, 5))
    receipts.receive(order=made, on=day(5), lines=[line(salt, 11, 5)])
    assert rests(made) == [D(0), D(10000)]


def test_packs_of_another_size_and_unit_count_by_what_is_in_them() -> None:
    oil = material("OIL", "L")
    made = order(asked(oil, 12, 1, unit="us_fl_oz"))
    receipts.receive(order=made, on=day(1))
    assert (rests(made), Movement.objects.get().quantity) == ([D(0)], OrderLine.objects.get().quantity)


def test_other_goods_that_came_along_change_nothing_of_what_is_outstanding() -> None:
    salt, alum = material("SALT"), material("ALUMK", supplier=supplier("Hallasalmi Hardware"))
    made = order(asked(salt))
    receipts.receive(order=made, on=day(5), lines=[line(alum)])
    assert (rests(made), state(made)) == ([D(50000)], State.PART)


def test_more_than_ordered_is_taken_in_and_nothing_is_outstanding() -> None:
    salt = material("SALT")
    made = order(asked(salt, 2))
    receipts.receive(order=made, on=day(5), lines=[line(salt, 3, 25)])
    assert (rests(made), state(made)) == ([D(0)], State.DELIVERED)


def test_everything_outstanding_comes_at_the_expected_prices_and_the_usual_carriage() -> None:
    salt = material("SALT")
    of = supplier()
    suppliers.describe(supplier=of, note="", carriage=D("9.90"), carriage_free_from=D(30))
    made = order(asked(salt, 2, 25, "11.50"))
    first = receipts.receive(order=made, on=day(2), lines=[line(salt, 1, 25, "12.00")])
    rest = receipts.receive(order=made, on=day(5), ref="P-2")
    assert (first.carriage, rest.carriage, rest.order, rest.ref) == (D("9.90"), D("9.90"), made, "P-2")
    kept = rest.lines.get()
    assert (kept.packs, kept.pack_price, kept.movement.value) == (D(1), D("11.50"), D("21.40"))
    free = receipts.receive(order=order(asked(salt, 3)), on=day(5))
    assert free.carriage == 0


def test_a_rest_that_is_no_number_of_packs_comes_as_one_at_its_part_of_the_price() -> None:
    salt = material("SALT", unit="g")
    made = order(asked(salt, 1, 30, "3.00"))
    receipts.receive(order=made, on=day(1), lines=[line(salt, 1, 20)])
    kept = receipts.receive(order=made, on=day(2)).lines.get()
    assert (kept.packs, kept.pack_quantity, kept.pack_price) == (D(1), D(10), D("1.00"))


def test_what_has_no_expected_price_cannot_come_without_one() -> None:
    salt = material("SALT")
    made = order(asked(salt, price=None))
    with pytest.raises(Refused, match="Enter its price") as refused:
        receipts.receive(order=made, on=day(5))
    assert (refused.value.field, refused.value.row) == ("pack_price", 0)
    assert not Delivery.objects.exists()


def test_nothing_comes_of_an_order_that_was_delivered_whole() -> None:
    made = order(asked(material("SALT")))
    receipts.receive(order=made, on=day(5))
    with pytest.raises(Refused, match="Everything of order O1 has come"):
        receipts.receive(order=made, on=day(6))


def test_a_delivery_that_is_reversed_puts_the_order_back() -> None:
    made = order(asked(material("SALT")))
    came = receipts.receive(order=made, on=day(5))
    ledger.reverse(posting=came.posting, reason="wrong shed")
    assert (rests(made), state(made)) == ([D(50000)], State.ORDERED)
    assert orders_read.coming(day(9))
    assert orders_read.lead_times(day(9)) == {}


def test_a_delivery_that_never_came_puts_the_order_back_and_its_correction_reversed_does_not() -> None:
    salt = material("SALT")
    made = order(asked(salt))
    came = receipts.receive(order=made, on=day(5))
    take(salt, 10, on=day(6))
    corrected = corrections.correct(delivery=came, on=day(7), reason="never came")
    assert rests(made) == [D(50000)]
    ledger.reverse(posting=corrected, reason="it did")
    assert rests(made) == [D(0)]


def test_a_delivery_by_hand_may_name_the_order_of_its_supplier() -> None:
    salt = material("SALT")
    made = order(asked(salt))
    delivery(line(salt, 2, 25), on=day(3), order=made)
    assert state(made) == State.DELIVERED


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"of": "Hallasalmi Hardware"}, "order", "went to Hallasalmi Hardware"),
        ({"on": day(4)}, "on", "nothing can have come by it"),
    ],
)
def test_a_delivery_names_no_order_that_it_cannot_have_come_by(wrong: dict[str, Any], field: str, said: str) -> None:
    salt = material("SALT")
    made = order(asked(salt), **wrong)
    with pytest.raises(Refused, match=said) as refused:
        delivery(line(salt), on=day(3), order=made)
    assert refused.value.field == field
    assert not Movement.objects.exists()


def test_a_closed_order_takes_nothing_in_until_it_is_opened_again() -> None:
    salt = material("SALT")
    made = order(asked(salt))
    receipts.receive(order=made, on=day(2), lines=[line(salt, 1, 25)])
    orders.close(order=made, on=day(3), reason="sold out")
    assert (state(made), orders_read.coming(day(3)), orders_read.awaited()) == (State.CLOSED, {}, [])
    assert orders_read.coming(day(2))[salt.pk][0].quantity == D(25000)
    for receive in (receipts.receive, deliveries.record):
        given: dict[str, Any] = {} if receive is receipts.receive else {"supplier": made.supplier}
        with pytest.raises(Refused, match="closed since"):
            receive(order=made, on=day(4), lines=[line(salt)], **given)
    orders.reopen(order=made)
    assert state(made) == State.PART
    receipts.receive(order=made, on=day(4))
    orders.close(order=made, on=day(5), reason="nothing more")
    assert state(made) == State.DELIVERED


def test_an_order_is_closed_once_with_a_reason_and_not_before_it_was_placed() -> None:
    made = order(asked(material("SALT")))
    with pytest.raises(Refused, match="The reason is missing"):
        orders.close(order=made, on=day(1), reason=" ")
    with pytest.raises(Refused, match="before it was placed"):
        orders.close(order=made, on=day(-1), reason="sold out")
    for _ in range(2):
        orders.close(order=made, on=day(1), reason="sold out")
    with pytest.raises(Refused, match="closed since"):
        orders.close(order=made, on=day(2), reason="other")


def test_what_the_supplier_said_since_is_kept() -> None:
    made = order(asked(material("SALT")))
    orders.change(order=made, due_on=day(8), ref="A-77", note="late")
    made.refresh_from_db()
    assert (made.due_on, made.ref, made.note) == (day(8), "A-77", "late")
    with pytest.raises(Refused, match="before it was ordered"):
        orders.change(order=made, due_on=day(-1), ref="", note="")


@pytest.mark.parametrize(
    ("packs", "pack", "price"),
    [
        ("0", "25", "1"),
        ("-1", "25", "1"),
        ("1", "0", "1"),
        ("1", "25", "-0.01"),
        ("1", "25", "0.001"),
        ("0.3333", "25", "1"),
        ("NaN", "25", "1"),
        ("1e9", "1e9", "1"),
    ],
)
def test_a_line_that_nobody_can_order_is_refused_and_nothing_is_written(packs: str, pack: str, price: str) -> None:
    with pytest.raises(Refused) as refused:
        order(asked(material("A")), asked(material("B"), packs, pack, price))
    assert refused.value.row == 1
    assert not Order.objects.exists()


def test_an_order_of_nothing_or_due_before_it_was_placed_is_refused() -> None:
    with pytest.raises(Refused, match="no lines"):
        order()
    with pytest.raises(Refused, match="before it was ordered") as refused:
        order(asked(material("SALT")), due_on=day(-1))
    assert refused.value.field == "due_on"
    assert not Order.objects.exists()


def test_an_ordered_material_stays_in_its_system_of_units() -> None:
    from inventory.materials import services as materials  # only this test changes a material

    salt = material("SALT")
    order(asked(salt))
    with pytest.raises(Refused, match="entries exist"):
        materials.change(material=salt, details=materials.Details(name="Salt", unit="lb"))


@pytest.mark.parametrize("role", ["owner", "helper", "bookkeeper"])
def test_who_records_goods_in_may_order(role: str) -> None:
    assert order(asked(material("SALT")), by=person(role))


def test_a_stranger_may_neither_order_nor_close() -> None:
    made = order(asked(material("SALT")))
    nobody = person("owner")
    nobody.groups.clear()
    for act in (
        lambda: order(asked(material("B")), by=nobody),
        lambda: receipts.receive(order=made, on=day(1), by=nobody),
        lambda: orders.change(order=made, due_on=None, ref="", note="", by=nobody),
        lambda: orders.close(order=made, on=day(1), reason="x", by=nobody),
        lambda: orders.reopen(order=made, by=nobody),
    ):
        with pytest.raises(NotAllowed):
            act()


def test_an_order_and_its_goods_sent_twice_are_written_once() -> None:
    salt = material("SALT")
    first, again = (order(asked(salt), request_key="k1") for _ in range(2))
    assert first == again
    came, too = (receipts.receive(order=first, on=day(3), request_key="k2") for _ in range(2))
    assert came == too
    assert (Order.objects.count(), Delivery.objects.count()) == (1, 1)


@pytest.mark.slow
@pytest.mark.usefixtures("shared_database")
def test_of_two_phones_at_once_each_order_has_a_number_of_its_own() -> None:
    salt, of = material("SALT"), supplier()

    def enter() -> Order:
        return orders.place(supplier=of, on=DAY, lines=[asked(salt)])

    assert sorted(made.number for made in together(enter, enter)) == ["O1", "O2"]


@pytest.mark.slow
@pytest.mark.usefixtures("shared_database")
def test_of_one_form_sent_by_two_taps_at_once_one_delivery_is_written() -> None:
    made = order(asked(material("SALT")))

    def enter() -> Delivery:
        return receipts.receive(order=made, on=day(3), request_key="k")

    first, second = together(enter, enter)
    assert (first, Delivery.objects.count()) == (second, 1)


@pytest.mark.slow
@pytest.mark.usefixtures("shared_database")
def test_of_two_phones_at_once_the_goods_of_an_order_come_in_once() -> None:
    made = order(asked(material("SALT")))

    def enter() -> Delivery:
        return receipts.receive(order=made, on=day(3))

    answers = together(enter, enter)
    assert sorted(type(answer).__name__ for answer in answers) == ["Delivery", "Refused"]


def test_what_is_coming_is_told_by_material_with_its_order_and_day() -> None:
    salt, alum = material("SALT"), material("ALUMK")
    made = order(asked(salt), asked(alum, 3, 2), asked(salt, 1, 5), due_on=day(9))
    later = order(asked(salt, 1), on=day(4), of="Hallasalmi Hardware")
    receipts.receive(order=made, on=day(6), lines=[line(salt, 1, 25)])
    of = Supplier.objects.get(name="Utuharju Chemicals")
    assert orders_read.coming(day(6)) == {
        salt.pk: (
            orders_read.Coming(D(30000), DAY, day(9), "O1", "Utuharju Chemicals", of.pk),
            orders_read.Coming(D(25000), day(4), None, "O2", "Hallasalmi Hardware", later.supplier_id),
        ),
        alum.pk: (orders_read.Coming(D(6000), DAY, day(9), "O1", "Utuharju Chemicals", of.pk),),
    }


def test_what_is_coming_on_a_past_day_leaves_out_what_was_not_yet_ordered_or_delivered() -> None:
    salt = material("SALT")
    made = order(asked(salt), on=day(2))
    receipts.receive(order=made, on=day(6))
    assert orders_read.coming(day(1)) == {}
    assert [each.quantity for each in orders_read.coming(day(5))[salt.pk]] == [D(50000)]
    assert orders_read.coming(day(6)) == {}


def test_what_is_coming_takes_two_queries_and_lead_times_one_however_many_orders() -> None:
    for code in ("A", "B", "C"):
        made = order(asked(material(code)), asked(material(f"{code}2")))
        receipts.receive(order=made, on=day(3), lines=[line(Material.objects.get(code=code), 1, 25)])
    with CaptureQueriesContext(connection) as seen:
        assert len(orders_read.coming(day(5))) == 6
    assert len(seen) == 2
    of = supplier().pk
    with CaptureQueriesContext(connection) as seen:
        assert orders_read.lead_times(day(5)) == {of: (3, 3, 3)}
    assert len(seen) == 1


def test_lead_times_are_those_of_the_newest_twelve_orders_to_their_first_delivery() -> None:
    salt = material("SALT")
    for nth in range(14):
        made = order(asked(salt), on=day(nth))
        receipts.receive(order=made, on=made.on + timedelta(days=nth), lines=[line(salt, 1, 25)])
        receipts.receive(order=made, on=day(40))
    other = order(asked(salt), of="Hallasalmi Hardware")
    receipts.receive(order=other, on=day(7))
    of = supplier().pk
    assert orders_read.lead_times(day(60)) == {of: tuple(range(2, 14)), other.supplier_id: (7,)}
    assert orders_read.lead_times(day(5)) == {of: (0, 1, 2)}


def test_what_is_to_be_paid_keeps_the_currency() -> None:
    workshop.set_up(name="Here", currency="SEK")
    suppliers.describe(supplier=supplier(), note="", carriage=D("9.90"))
    with pytest.raises(Refused, match="the currency stays"):
        workshop.set_up(name="Here", currency="JPY")
