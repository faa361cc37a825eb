"""Owns the QR code that a banking app reads: drawn as one shape, as wide as its modules need. Must not know what it says."""

from itertools import groupby
from typing import Any

from reportlab.lib.units import mm

from workshop.documents.kit import flow
from workshop.documents.kit.page import Box

MODULE = 0.6 * mm  # common practice, no source: a phone reads it from a hand's breadth
QUIET = 4 * MODULE  # ISO/IEC 18004 wants four modules of white


def square(payload: str) -> Any:
    """The code with its quiet zone, at error correction M exactly, as EPC069-12 has it (by segno's documentation)."""
    import segno  # only an invoice with a code brings it in

    rows = [list(row) for row in segno.make_qr(payload, error="m", boost_error=False, encoding="utf-8").matrix]

    def draw(on: Any, box: Box) -> None:
        shape = on.beginPath()
        for down, row in enumerate(rows, start=1):
            across = 0
            for dark, run in groupby(row):
                wide = len(list(run))
                if dark:
                    shape.rect(QUIET + across * MODULE, box.top - QUIET - down * MODULE, wide * MODULE, MODULE)
                across += wide
        on.drawPath(shape, stroke=0, fill=1)

    return flow.Drawn(len(rows) * MODULE + 2 * QUIET, draw)
