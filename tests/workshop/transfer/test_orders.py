"""Orders in a folder: they come back the same with what came by them, and a bad row is named by its place."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from inventory.models import Delivery, Material, Order, Supplier
from inventory.orders import selectors as orders_read, services as orders
from inventory.orders.receipts import services as receipts
from inventory.suppliers import services as suppliers
from tests import factories as make
from tests.factories import DAY, days_from
from tests.workshop.transfer import folders
from tests.workshop.transfer.test_round_trip import passing, texts
from workshop.transfer.format.problems import FolderRefused
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
D = Decimal
day = days_from(DAY)


def lived_in() -> None:
    """Orders ordered, delivered in part and whole, closed; a supplier's carriage; a material with price breaks."""
    of = make.supplier()
    suppliers.describe(supplier=of, note="", carriage=D("9.90"), carriage_free_from=D(150))
    salt = make.material(
        "SALT", pack_quantity=D(25), min_order=D(50), price_breaks="4 11.00; 10 10.20", breaks_on="further"
    )
    oil = make.material("OIL", "us_gallon")
    line = orders.Line
    for number in ("", "", "2025/7", ""):
        lines = [line(salt, D(2), D(25), "kg", D("11.50")), line(oil, D("1.5"), D(12), "us_fl_oz")]
        orders.place(supplier=of, on=DAY, lines=lines, number=number, due_on=day(9), ref="A-7", note="by post")
    part, whole, closed, _ = orders_read.orders().order_by("pk")
    receipts.receive(order=part, on=day(4), lines=[make.line(salt, 1, 25)])
    receipts.receive(order=whole, on=day(5), lines=[make.line(salt, 2, 25), make.line(oil, 2, "0.1")])
    receipts.receive(order=closed, on=day(6), lines=[make.line(salt, 1, 25, "11.50")])
    orders.close(order=closed, on=day(7), reason="sold out")


def stand() -> dict[str, Any]:
    return {
        row.number: (
            *(row.supplier.name, row.on, row.due_on, row.ref, row.note, row.closed_on, row.closed_why),
            orders_read.standing(row).state,
            [
                (each.line.material.code, each.line.packs, each.line.quantity, each.line.pack_price, each.rest)
                for each in orders_read.standing(row).lines
            ],
            list(row.deliveries.order_by("pk").values_list("on", flat=True)),
        )
        for row in Order.objects.order_by("pk")
    }


def test_orders_come_back_the_same(tmp_path: Path) -> None:
    with passing():
        lived_in()
        before = stand()
        save(tmp_path / "A")
    load(tmp_path / "A")
    save(tmp_path / "B")
    assert stand() == before
    assert list(before) == ["O1", "O2", "2025/7", "O3"]
    assert texts(tmp_path / "A") == texts(tmp_path / "B")


def test_a_folder_says_how_a_material_is_bought(tmp_path: Path) -> None:
    load(folders.write(tmp_path))
    salt, of = Material.objects.get(code="SALT"), Supplier.objects.get(name="Utuharju Chemicals")
    assert (salt.min_order, salt.price_breaks, salt.breaks_on) == (D(50000), "4 11.00; 10 10.20", "further")
    assert Material.objects.get(code="TAG").breaks_on == "all"
    assert (of.carriage, of.carriage_free_from) == (D("9.90"), D(150))
    assert Delivery.objects.get(ref="P-1").order == Order.objects.get(number="O1")
    assert Order.objects.get(number="O1").closed_why == "sold out"


@pytest.mark.thorough(but=3)
@pytest.mark.parametrize(
    ("file", "row", "column", "value", "said"),
    [
        ("orders.csv", 2, "packs", "0", "more than zero"),
        ("orders.csv", 2, "due_on", "2025-01-01", "before it was ordered"),
        ("orders.csv", 3, "due_on", "2025-01-09", "differs from row 2"),
        ("orders.csv", 3, "material", "WAX", "materials.csv has no WAX"),
        ("orders.csv", 2, "closed_on", "", "needed beside closed_why"),
        ("orders.csv", 2, "closed_why", "", "The reason is missing"),
        ("orders.csv", 2, "closed_on", "2025-01-01", "before it was placed"),
        ("orders.csv", 4, "order", "no number", "no spaces|code"),
        ("deliveries.csv", 4, "order", "O9", "orders.csv has no O9"),
        ("deliveries.csv", 4, "order", "O2", "nothing can have come by it"),
        ("deliveries.csv", 4, "order", "O1", "went to Utuharju Chemicals"),
        ("deliveries.csv", 3, "order", "O2", "differs from row 2"),
        ("materials.csv", 2, "price_breaks", "10 10.20; 4 11.00", "Begin with the fewest packs"),
        ("materials.csv", 2, "breaks_on", "some", "all|further"),
        ("materials.csv", 2, "min_order", "0", "more than zero"),
        ("suppliers.csv", 2, "carriage_free_from", "0", "more than zero"),
    ],
)
def test_a_row_that_cannot_be_is_named_by_its_place(
    file: str, row: int, column: str, value: str, said: str, tmp_path: Path
) -> None:
    folder = folders.write(tmp_path, folders.BOUGHT)
    folders.change(folder, file, row, column, value)
    with pytest.raises(FolderRefused) as refused:
        load(folder)
    found = [each for each in refused.value.problems if each.file == file]
    assert any(re.search(said, each.reason) for each in found), [each.reason for each in refused.value.problems]
    assert {each.row for each in found} == {row}
    assert not Order.objects.exists()
