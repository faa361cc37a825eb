"""The columns of the month balances as SQL: one list of names that the reads, the writing and the audit are made of."""

from inventory.ledger.models import Kind

# Where a kind of movement stands in its month. What is gone with a sale is apart, since it counts as usual use.
PLACES = {Kind.OPENING: "opening", Kind.RECEIPT: "came", Kind.CORRECTED: "came", Kind.USE: "used", Kind.SOLD: "sold"}
OTHER = "other"
MOVED = (*dict.fromkeys(PLACES.values()), OTHER)
FIRST = "first"
FIGURES = tuple(f"{name}_{of}" for name in (FIRST, *MOVED) for of in ("quantity", "value"))


def place(kind: str) -> str:
    """The columns that a movement of this kind is added to."""
    return PLACES.get(Kind(kind), OTHER)


def closing(of: str, row: str = "b") -> str:
    """What a month leaves, in `quantity` or `value`, as SQL on the row so named."""
    return " + ".join(f"{row}.{name}_{of}" for name in (FIRST, *MOVED))


def _sum(name: str, of: str) -> str:
    known = ", ".join(f"'{kind.value}'" for kind in PLACES)
    own = ", ".join(f"'{kind.value}'" for kind, at in PLACES.items() if at == name)
    test = f"IN ({own})" if own else f"NOT IN ({known})"
    return f"SUM(CASE WHEN kind {test} THEN {of} ELSE 0 END) AS {name}_{of}"


def _before(of: str) -> str:
    """All that moved up to the month, less what moved in it."""
    return f"CAST(SUM(moved_{of}) OVER months - moved_{of} AS bigint)"


# Every month of every material, worked out from the movements alone; added up by kind first, in the order of their index.
FROM_MOVEMENTS = f"""
SELECT material_id, month, {_before("quantity")}, {_before("value")},
  {", ".join(f"CAST({name} AS bigint)" for name in FIGURES[2:])}
FROM (
  SELECT material_id, month, SUM(quantity) AS moved_quantity, SUM(value) AS moved_value,
    {", ".join(_sum(name, of) for name in MOVED for of in ("quantity", "value"))}
  FROM (
    SELECT material_id, month, kind, SUM(quantity) AS quantity, SUM(value) AS value
    FROM inventory_movement GROUP BY month, material_id, kind
  ) AS by_kind GROUP BY material_id, month
) AS moved
WINDOW months AS (PARTITION BY material_id ORDER BY month)
"""
