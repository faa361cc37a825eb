"""What is measured against what. Imported after Django is set up and the database is there."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from io import BytesIO

from django.db import connection, transaction
from django.db.models import Sum

from costing.selectors import restock, stock_value
from inventory.models import Kind, Lot, LotDraw, Material, Movement, Posting
from inventory.selectors import usage
from inventory.services import ledger, workshop
from tests import factories
from workshop.papers import care

START = date(2020, 1, 1)
MONTH = 2021 * 12
MATERIALS = 20


def fill(entries: int) -> None:
    """A shelf with a long history, written straight into the tables: the benchmark is not of filling."""
    workshop.set_up(name="Benchmark")
    shelf = [factories.material(f"M{at:02d}", on_hand=100_000, value=100_000, on=START) for at in range(MATERIALS)]
    for begin in range(0, entries, 2000):
        with transaction.atomic():
            for at in range(begin, min(begin + 2000, entries)):
                _write(shelf[at % MATERIALS], START + timedelta(days=1 + at % 900))
    Material.objects.bulk_update(shelf, ["on_hand", "value"])
    factories.batch("B1", start=START)


def _write(material: Material, on: date) -> None:
    material.on_hand -= 1
    material.value -= Decimal("0.01")
    posting = Posting.objects.create(kind=Kind.USE, on=on)
    Movement.objects.create(
        posting=posting,
        material=material,
        kind=Kind.USE,
        on=on,
        month=on.year * 12 + on.month - 1,
        quantity=Decimal(-1),
        value=Decimal("-0.01"),
        quantity_left=material.on_hand,
        value_left=material.value,
    )


def _post() -> None:
    material = Material.objects.get(code="M00")
    ledger.issue(kind=Kind.USE, on=date(2024, 1, 1), draws=[ledger.Draw(material, Decimal(1))])


@transaction.atomic
def _post_bare() -> None:
    """The same rows by fixed SQL, with no check at all."""
    tables = [model._meta.db_table for model in (Posting, Movement, Material, Lot, LotDraw)]
    posting, movement, material, lot, draw = (connection.ops.quote_name(name) for name in tables)
    with connection.cursor() as sql:
        sql.execute(f"SELECT id, on_hand, value FROM {material} WHERE code = %s", ["M00"])
        pk, on_hand, value = sql.fetchone()
        sql.execute(f"UPDATE {material} SET on_hand = on_hand - 1000, value = value - 10 WHERE id = %s", [pk])
        sql.execute(f"UPDATE {lot} SET quantity = quantity - 1000 WHERE material_id = %s", [pk])
        sql.execute(
            f'INSERT INTO {posting} (kind, "on", reason, written_at) VALUES (%s, %s, %s, %s)',
            ["use", "2024-01-01", "", "2024-01-01 00:00:00"],
        )
        sql.execute(f"SELECT max(id) FROM {posting}")
        (entry,) = sql.fetchone()
        sql.execute(
            f'INSERT INTO {movement} (posting_id, material_id, kind, "on", month, quantity, value, quantity_left, value_left,'
            " typed)"
            " VALUES (%s, %s, %s, %s, %s, %s, %s, %s, %s, %s)",
            [entry, pk, "use", "2024-01-01", 24288, -1000, -10, on_hand - 1000, value - 10, ""],
        )
        sql.execute(f"SELECT max(id) FROM {movement}")
        (row,) = sql.fetchone()
        sql.execute(
            f"INSERT INTO {draw} (movement_id, lot_id, quantity, value) SELECT %s, id, -1000, 0 FROM {lot} WHERE material_id = %s",
            [row, pk],
        )


def _balances_by_sum() -> list[object]:
    return list(Movement.objects.order_by().values("material").annotate(q=Sum("quantity"), v=Sum("value")))


def _month_bare() -> list[object]:
    table = connection.ops.quote_name(Movement._meta.db_table)
    with connection.cursor() as sql:
        sql.execute(
            f"SELECT material_id, kind, sum(quantity), sum(value) FROM {table} WHERE month = %s GROUP BY 1, 2", [MONTH]
        )
        now = sql.fetchall()
        sql.execute(f"SELECT material_id, sum(quantity), sum(value) FROM {table} WHERE month < %s GROUP BY 1", [MONTH])
        return [*now, *sql.fetchall()]


def _label() -> bytes:
    return care.render(
        care.CareLabel(
            method="alum_tawed",
            article="H03",
            kind="rug",
            species="Sheep",
            area_text="101 dm2",
            maker="Routamo Skins",
            postal="Utuharju",
            electronic="post@example.org",
            batch="B1",
        )
    )


def _page_bare() -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas = Canvas(out)
    canvas.drawString(72, 72, "H03")
    canvas.save()
    return out.getvalue()


Pair = tuple[str, Callable[[], object], Callable[[], object]]
PAIRS: tuple[Pair, ...] = (
    ("post one use, against the same rows by SQL", _post, _post_bare),
    ("shelf from running balances, against summing", lambda: list(Material.objects.all()), _balances_by_sum),
    ("a month's flows, against two bare sums", lambda: usage.flows(MONTH), _month_bare),
    ("restock of all materials, against summing", lambda: restock.outlooks(date(2022, 7, 1)), _balances_by_sum),
    ("stock sheet of a day, against summing", lambda: stock_value.at(date(2022, 7, 1)), _balances_by_sum),
    ("a care label, against an empty page", _label, _page_bare),
)
