from __future__ import annotations

from decimal import Decimal

import pytest

from inventory.base.accounting import services as workshop
from inventory.deliveries import services as deliveries
from inventory.errors import Refused, Taken
from inventory.ledger import services as ledger
from inventory.ledger.audit import selectors as audit
from inventory.models import Delivery, DeliveryLine, Kind, Lot, Posting
from tests.at_once import together
from tests.factories import DAY, delivery, line, material, supplier

pytestmark = pytest.mark.django_db
D = Decimal


def shares() -> list[Decimal]:
    return list(DeliveryLine.objects.order_by("pk").values_list("carriage_share", flat=True))


def test_carriage_is_shared_by_value_as_in_the_demo_year() -> None:
    """P-001: salt 2 x 11.50, alum 11.60, soda 3.90, baking soda 3.20, carriage 9.90."""
    salt, alum, soda, bicarb = (material(code) for code in ("SALT", "ALUMK", "SODACRYS", "BICARB"))
    made = delivery(
        line(salt, 2, 25, "11.50"),
        line(alum, 1, 2, "11.60"),
        line(soda, 1, "1.5", "3.90"),
        line(bicarb, 1, 1, "3.20"),
        carriage="9.90",
        ref="P-001",
    )
    assert shares() == [D("5.46"), D("2.75"), D("0.93"), D("0.76")]
    values = made.posting.movements.order_by("pk").values_list("quantity", "value")
    assert list(values) == [(D(50000), D("28.46")), (D(2000), D("14.35")), (D(1500), D("4.83")), (D(1000), D("3.96"))]
    assert made.posting.reason == "delivery P-001"
    assert list(audit.findings()) == []


def test_carriage_of_free_goods_is_shared_in_equal_parts() -> None:
    delivery(line(material("A"), price="0"), line(material("B"), 5, price="0"), carriage="0.05")
    assert shares() == [D("0.02"), D("0.03")]


def test_a_free_line_beside_paid_ones_bears_no_carriage() -> None:
    delivery(line(material("A"), price="0"), line(material("B"), price="3"), carriage="1.00")
    assert shares() == [D(0), D("1.00")]


def test_without_carriage_nothing_is_shared() -> None:
    delivery(line(material("A")), line(material("B")))
    assert shares() == [0, 0]


def test_each_line_is_a_lot_of_its_own() -> None:
    alum = material()
    delivery(line(alum, 1, 2, "11.60"), line(alum, 3, 1, "6.00"))
    assert list(Lot.objects.order_by("pk").values_list("quantity", flat=True)) == [D(2000), D(3000)]
    alum.refresh_from_db()
    assert (alum.on_hand, alum.value) == (D(5000), D("29.60"))


def test_part_packs_are_priced_to_the_coin() -> None:
    delivery(line(material(), "0.333", 2, "11.60"))
    assert Posting.objects.get().movements.get().value == D("3.86")


def test_a_pack_is_kept_as_typed_and_in_base_units() -> None:
    delivery(line(material("OIL", "L"), 2, "0.5", "19.50"))
    row = DeliveryLine.objects.get()
    assert (row.packs, row.pack_quantity, row.movement.typed) == (D(2), D(500), "2 x 0.5 L")


@pytest.mark.parametrize(
    ("packs", "pack", "price"),
    [
        ("0", "2", "1"),
        ("-1", "2", "1"),
        ("1", "0", "1"),
        ("1", "-2", "1"),
        ("1", "2", "-0.01"),
        ("1", "2", "0.001"),
        ("0.3333", "2", "1"),
        ("100000", "0.0000001", "1"),
        ("NaN", "2", "1"),
        ("1e9", "1e9", "1"),
        ("1e9", "1", "1e9"),
    ],
)
def test_a_line_that_cannot_be_is_refused_and_nothing_is_written(packs: str, pack: str, price: str) -> None:
    with pytest.raises(Refused):
        delivery(line(material("A")), line(material("B"), packs, pack, price))
    assert not Posting.objects.exists()


@pytest.mark.parametrize("carriage", ["-1", "0.001", "NaN"])
def test_carriage_that_cannot_be_paid_is_refused(carriage: str) -> None:
    with pytest.raises(Refused, match="The carriage"):
        delivery(line(material()), carriage=carriage)


def test_a_delivery_without_lines_is_refused() -> None:
    with pytest.raises(Refused, match="no lines"):
        delivery()


def test_a_reference_is_used_once_a_supplier() -> None:
    alum = material()
    delivery(line(alum), ref="P-1")
    with pytest.raises(Taken, match="with the reference P-1 is used already"):
        delivery(line(alum), ref="P-1")
    other = supplier("Hallasalmi Hardware")
    deliveries.record(supplier=other, on=DAY, lines=[line(alum)], ref="P-1")
    delivery(line(alum))
    delivery(line(alum))
    assert Delivery.objects.count() == 4


def test_a_reference_is_free_again_once_its_delivery_is_taken_back() -> None:
    alum = material()
    ledger.reverse(posting=delivery(line(alum), ref="P-1").posting, reason="typed wrong")
    assert delivery(line(alum), ref="P-1")
    assert list(audit.findings()) == []


def test_a_currency_without_small_coins_shares_whole_ones() -> None:
    workshop.set_up(currency="JPY")
    made = delivery(line(material("A"), price="100"), line(material("B"), price="200"), carriage="100")
    assert shares() == [D(33), D(67)]
    assert made.posting.kind == Kind.RECEIPT


@pytest.mark.parametrize("ref", ["a\x07", "x" * 41])
def test_a_reference_that_cannot_be_kept_is_refused(ref: str) -> None:
    with pytest.raises(Refused, match="The reference"):
        delivery(line(material()), ref=ref)


def test_one_like_another_is_asked_about_and_kept_when_both_came() -> None:
    alum, soda = material("ALUMK"), material("SODA")
    there = delivery(line(alum, 2, 1, "5.00"), line(soda, 1, 1, "3.00"), carriage="1.00")
    same = [line(soda, 1, 1, "3.00"), line(alum, 1, 2, "10.00")]  # in another order, and as one larger pack
    with pytest.raises(deliveries.Alike, match="was entered on") as refusal:
        deliveries.record(supplier=supplier(), on=DAY, lines=same, again=False)
    assert (refusal.value.delivery, refusal.value.field) == (there, "again")
    deliveries.record(supplier=supplier(), on=DAY, lines=same, again=True)
    assert Delivery.objects.count() == 2


@pytest.mark.parametrize("other", ["supplier", "day", "packs", "price", "a line more"])
def test_one_that_differs_is_not_asked_about(other: str) -> None:
    alum = material()
    delivery(line(alum, 2, 1, "5.00"))
    asked = line(alum, 3 if other == "packs" else 2, 1, "6.00" if other == "price" else "5.00")
    made = deliveries.record(
        supplier=supplier("Another") if other == "supplier" else supplier(),
        on=DAY.replace(day=5) if other == "day" else DAY,
        lines=[asked, asked] if other == "a line more" else [asked],
        again=False,
    )
    assert made.pk


def test_one_that_was_reversed_is_no_reason_to_ask() -> None:
    alum = material()
    there = delivery(line(alum))
    ledger.reverse(posting=there.posting, reason="wrong")
    assert deliveries.record(supplier=supplier(), on=DAY, lines=[line(alum)], again=False).pk


@pytest.mark.slow
@pytest.mark.usefixtures("shared_database")
def test_of_two_phones_at_once_the_second_is_asked() -> None:
    alum = material()
    of, lines = supplier(), [line(alum)]

    def enter() -> Delivery:
        return deliveries.record(supplier=of, on=DAY, lines=lines, again=False)

    answers = together(enter, enter)
    assert sorted(type(answer).__name__ for answer in answers) == ["Alike", "Delivery"]
