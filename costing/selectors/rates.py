"""The rates in force, as rows and as the pure rules want them."""

from __future__ import annotations

from costing import rollup
from costing.models import Rates


def current() -> Rates:
    """The one row; zeros when nobody has set it up yet (not saved)."""
    return Rates.objects.first() or Rates(pk=1)


def plain() -> rollup.Rates:
    row = current()
    return rollup.Rates(row.wage_per_hour, row.overhead_per_hour, row.frame_wear)
