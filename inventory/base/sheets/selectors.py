"""What is remembered of spreadsheets."""

import json
from collections.abc import Collection

from inventory.base.sheets.models import BroughtRow, SheetHeads

_AT_ONCE = 500


def answers(heads: str) -> dict[str, str]:
    """What was answered the last time for the same heads."""
    row = SheetHeads.objects.filter(heads=heads).first()
    return {str(name): str(value) for name, value in json.loads(row.answers).items()} if row else {}


def brought(rows: Collection[str]) -> set[str]:
    """Those of the rows that came before."""
    asked = list(rows)
    found: set[str] = set()
    for at in range(0, len(asked), _AT_ONCE):
        found |= set(BroughtRow.objects.filter(row__in=asked[at : at + _AT_ONCE]).values_list("row", flat=True))
    return found
