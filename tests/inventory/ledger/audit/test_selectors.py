"""The ground floor's audit must be able to fail: each test breaks one figure behind the services' back and reads its name."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db.models import QuerySet

from inventory.base.accounting import services as workshop
from inventory.ledger import services as ledger
from inventory.ledger.audit import selectors as audit
from inventory.models import Delivery, DeliveryLine, Lot, LotDraw, Material, Movement, Posting
from tests.factories import DAY, delivery, line, material, receive, take

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture(params=["average", "fifo"])
def books(request: pytest.FixtureRequest) -> str:
    """A delivery with carriage, a second lot, a use, a use taken back, a count."""
    flow: str = request.param
    workshop.set_up(cost_flow=flow)
    alum = material("ALUMK", on_hand=1, value="4.00")
    delivery(line(alum, 2, 2, "11.60"), line(material("SALT"), 1, 25, "11.50"), carriage="3.00")
    take(alum, "1.5")
    ledger.reverse(posting=take(alum, "0.2"), reason="wrong jar")
    ledger.count(on=DAY, material=alum, counted=D(3400))
    assert list(audit.findings()) == []
    return flow


def used() -> QuerySet[Movement]:
    return Movement.objects.filter(typed="1.5 kg")


BREAKS: dict[str, tuple[Callable[[], object], str]] = {
    "balance quantity": (
        lambda: Material.objects.filter(code="ALUMK").update(on_hand=D(3401)),
        "ALUMK: the shelf says 3.401 kg, its movements say 3.4 kg.",
    ),
    "balance value": (
        lambda: Material.objects.filter(code="SALT").update(value=D("12.48")),
        "SALT: the shelf is worth 12.480, its movements say 12.490.",
    ),
    "movement value": (lambda: used().update(value=D("-0.01")), "is worth -0.010; "),
    "movement quantity": (lambda: used().update(quantity=D(-1400)), "took 1400.000; its lots gave 1500.000."),
    "movement left": (lambda: used().update(quantity_left=D(1)), "leaves 1.000 worth"),
    "movement month": (lambda: used().update(month=1), "about day, month or kind"),
    "movement day": (lambda: used().update(on=DAY + timedelta(days=1)), "about day, month or kind"),
    "movement kind": (lambda: used().update(kind="sold"), "about day, month or kind"),
    "movement gone": (
        lambda: (LotDraw.objects.filter(movement__in=used()).delete(), used().delete()),
        "ALUMK: the shelf says 3.4 kg, its movements say 4.9 kg.",
    ),
    "lot quantity": (
        lambda: Lot.objects.filter(material__code="SALT").update(quantity=D(24000)),
        "SALT: the shelf holds 25000.000; its lots hold 24000.000.",
    ),
    "lot draw": (lambda: LotDraw.objects.filter(quantity=D(-200)).update(quantity=D(-201)), "its draws say"),
    "reversal": (
        lambda: Movement.objects.filter(posting__reverses__isnull=False).update(value=D("0.01")),
        "does not reverse exactly what posting",
    ),
    "carriage": (lambda: Delivery.objects.update(carriage=D("3.01")), "has carriage 3.010; its lines share 3.000."),
    "line price": (
        lambda: DeliveryLine.objects.filter(packs=2).update(pack_price=D("11.61")),
        "ALUMK: came in at 25.210; packs and carriage say",
    ),
}


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize("name", BREAKS)
def test_a_broken_figure_is_named(books: str, name: str) -> None:
    breaking, said = BREAKS[name]
    breaking()
    found = list(audit.findings())
    assert any(said in finding for finding in found), found


def test_a_broken_lot_value_is_named_where_lots_carry_the_value() -> None:
    workshop.set_up(cost_flow="fifo")
    material("SALT", on_hand=1, value="4.00")
    Lot.objects.update(value=D("3.99"))
    assert list(audit.findings()) == ["SALT: the shelf is worth 4.000; its lots are worth 3.990."]


def test_a_draw_that_its_day_could_not_bear_is_named() -> None:
    alum = material(on_hand=1, value="4.00", on=DAY + timedelta(days=1))
    used = take(alum, 1, DAY + timedelta(days=2))
    Movement.objects.filter(posting=used).update(on=DAY, month=DAY.year * 12 + DAY.month - 1)
    Posting.objects.filter(pk=used.pk).update(on=DAY)
    assert any("that day or a later one did not hold it" in finding for finding in audit.findings())


@pytest.mark.thorough
@pytest.mark.slow
def test_the_audit_reads_in_as_many_queries_for_thirty_entries_as_for_one(django_assert_max_num_queries) -> None:  # type: ignore[no-untyped-def]
    alum = material(on_hand=1, value=4)
    for number in range(30):
        receive(alum, 1, 4 + number)
        take(alum, "0.5")
    with django_assert_max_num_queries(40):
        assert list(audit.findings()) == []
