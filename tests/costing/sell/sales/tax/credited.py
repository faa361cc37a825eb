"""Lines of a full credit, as a test of the pure rules writes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from costing.sell.sales.tax.rules import PaperLine


def mirrored_lines(lines: Sequence[PaperLine]) -> list[PaperLine]:
    """The same things, taken back."""
    return [replace(line, quantity=-line.quantity, discount=-line.discount) for line in lines]
