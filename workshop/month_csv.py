"""The monthly material use as CSV, for a spreadsheet or the bookkeeper."""

from __future__ import annotations

import csv
import io

from workshop import answers

COLUMNS = (
    "month", "material", "name", "unit", "opening", "in", "used", "other", "closing",
    "opening_value", "in_value", "used_value", "other_value", "closing_value",
)  # fmt: skip


def write(month: str) -> bytes:
    """UTF-8 with a header; figures with a decimal point. Texts cannot start a formula: no record can hold such a text."""
    found = answers.usage_answer(month)
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for line in found["lines"]:
        writer.writerow({"month": found["month"], **line})
    return out.getvalue().encode("utf-8")
