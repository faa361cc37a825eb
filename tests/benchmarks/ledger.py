"""A ledger of ten years, written past the services by SQL on whole thousandths: only its size and its shape matter here."""

from __future__ import annotations

from datetime import date

from django.db import connection, transaction

from inventory.base.chain import services as chain
from inventory.base.chain.rules import START
from inventory.ledger.months import services as months
from inventory.models import ChainLink, Kind, Material, Movement, Posting

DAYS = 3650

# Each movement on its day, the first day first; the material by a scramble of its number, so that no two walk alike.
PLAN = """
CREATE TEMP TABLE plan AS
WITH RECURSIVE number (n) AS (SELECT 0 UNION ALL SELECT n + 1 FROM number WHERE n + 1 < %(movements)s),
drawn AS (
  SELECT n, %(material)s + (n * n * 40503 + n * 12345) %% 1000003 %% %(materials)s AS material,
    date(%(last)s, '-' || (%(days)s - 1 - n * %(days)s / %(movements)s) || ' days') AS day,
    CASE WHEN n %% 10 = 0 THEN %(came)s WHEN n %% 97 = 0 THEN 'sold' WHEN n %% 83 = 0 THEN 'own_use' ELSE %(use)s END AS kind,
    n * 7919 %% 900 + 1 AS grams
  FROM number
)
SELECT n + %(materials)s AS n, material, day, kind,
  1000 * CASE WHEN kind = %(came)s THEN 2 * grams ELSE -grams END AS quantity FROM drawn
"""
# What was there at first is what was missing most, and a little for each of the next weeks.
OPENING = """
INSERT INTO plan
SELECT material - %(material)s, material, date(%(last)s, '-' || %(days)s || ' days'), 'opening',
  1000 * (1 + material %% 50 * 400) - MIN(0, MIN(walk))
FROM (SELECT material, SUM(quantity) OVER (PARTITION BY material ORDER BY n) AS walk FROM plan) GROUP BY material
"""
POSTINGS = """
INSERT INTO inventory_posting (id, kind, "on", reason, written_at, written_by_id, reverses_id)
SELECT n + %(posting)s, kind, day, '', day, NULL, NULL FROM plan ORDER BY n
"""
# What moved, moved the one lot of its material.
DRAWS = """
INSERT INTO inventory_lotdraw (movement_id, lot_id, quantity, value)
SELECT m.id, l.id, m.quantity, 0 FROM inventory_movement m JOIN inventory_lot l ON l.material_id = m.material_id
WHERE m.id >= %(movement)s AND m.kind <> 'opening' ORDER BY m.id
"""
# A gram is worth a coin, so that no value can go wrong on the way.
MOVEMENTS = """
INSERT INTO inventory_movement
  (id, posting_id, material_id, kind, "on", month, quantity, value, quantity_left, value_left, typed)
SELECT n + %(movement)s, n + %(posting)s, material, kind, day, substr(day, 1, 4) * 12 + substr(day, 6, 2) - 1,
  quantity, quantity / 100, SUM(quantity) OVER walk, SUM(quantity) OVER walk / 100, abs(quantity) / 1000 || ' g'
FROM plan WINDOW walk AS (PARTITION BY material ORDER BY n) ORDER BY n
"""
SHELF = """
UPDATE inventory_material SET on_hand = total, value = total / 100
FROM (SELECT material, SUM(quantity) AS total FROM plan GROUP BY material) AS walked WHERE material = id
"""
LOTS = """
INSERT INTO inventory_lot (material_id, movement_id, "on", expires_on, quantity, value)
SELECT material, n + %(movement)s, day, NULL, (SELECT on_hand FROM inventory_material WHERE id = material), 0
FROM plan WHERE kind = 'opening'
"""


def fill(movements: int, *, materials: int, last: date, came: Kind = Kind.RECEIPT, gone: Kind = Kind.USE) -> None:
    """So many movements of so many materials of their own in the ten years up to `last`, and the month balances of all.

    `came`, `gone`: what most of them are."""
    first = Material.objects.bulk_create(
        Material(code=f"M{number:04}", name=f"Material {number:04}", unit="g", base="g", lead_days=number % 15)
        for number in range(materials)
    )[0]
    known = {
        "movements": movements,
        "materials": materials,
        "material": first.pk,
        "last": last.isoformat(),
        "days": DAYS,
        "came": str(came),
        "use": str(gone),
        "posting": Posting.objects.latest("pk").pk + 1,
        "movement": Movement.objects.latest("pk").pk + 1,
    }
    with transaction.atomic(), connection.cursor() as cursor:
        for statement in (PLAN, OPENING, POSTINGS, MOVEMENTS, SHELF, LOTS, DRAWS):
            cursor.execute(statement, known)
        cursor.execute("DROP TABLE plan")
        months.rebuild()


def link() -> None:
    """The chain over all of it, begun as an upgrade begins it for older books."""
    ChainLink.objects.all().delete()
    ChainLink.objects.create(position=0, kind=ChainLink.ADOPT, row=0, digest=START)
    chain.adopt()
