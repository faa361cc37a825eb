"""A maker's own spreadsheets, built as such people write them."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from datetime import date
from typing import Any

from openpyxl import Workbook


def saved(book: Workbook) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def workbook(*rows: Sequence[Any], name: str = "Sheet1") -> bytes:
    book = Workbook()
    sheet: Any = book.active
    sheet.title = name
    for row in rows:
        sheet.append(list(row))
    return saved(book)


def as_csv(*rows: Sequence[Any], mark: str = ",", encoding: str = "utf-8") -> bytes:
    out = io.StringIO()
    csv.writer(out, delimiter=mark).writerows(rows)
    return out.getvalue().encode(encoding)


def messy() -> bytes:
    """Three years of buying, a sheet each: titles, a merged head, blank rows and columns, sums at the end, prices as typed."""
    book = Workbook()
    first: Any = book.active
    first.title = "2022"
    first.append(["Stuff I bought 2022"])
    first.merge_cells("A1:G1")
    first.append([])
    first.append([None, "When", "What", "", "How much", "I paid ($)", "Where from"])
    first.append([None, date(2022, 3, 4), "Alum", None, "15 lb", "$35.00", "Tanner's Supply"])
    first.append([None, date(2022, 3, 4), "Salt", None, "50 lbs", "$12.50", "Feed store"])
    first.append([])
    first.append([None, "6/20/2022", "Neatsfoot oil", None, "1 us gallon", "1,200.00", None])
    first.append([None, "11/2/2022", "alum", None, "5 lb", 14, "Tanner's Supply"])
    first.append([None, "Total", None, None, None, "1,261.50", None])

    second: Any = book.create_sheet("2023")
    second.append([])
    second.append(["Date", "Item", "Qty", "Cost", None, "Vendor", "Notes"])
    second.append([None, None, None, "each", "total", None, None])
    for area in ("A2:A3", "B2:B3", "C2:C3", "D2:E2", "F2:F3", "G2:G3"):
        second.merge_cells(area)
    second.append(["1/15/2023", "Alum", "2 x 10 lb", "$20.00", "$40.00", "Tanner's Supply", "two sacks"])
    second.append(["Spring"])
    second.append(["4/2/2023", "salt", 50, None, "$ 14.00", "Feed store", None])
    second.append(["4/2/2023", "salt", 50, None, "$ 14.00", "Feed store", "yes, two"])
    second.append([None, None, None, None, 68, None, None])

    third: Any = book.create_sheet("2024")
    third.append(["Date", "Item", "Qty", "Total", "Vendor"])
    third.append([date(2024, 2, 1), "Bark", "12.5 lb", "$18.75", "Sawmill"])
    third.append([date(2024, 2, 9), "Bark", "a bag", "$9.00", "Sawmill"])
    third.append(["5/6/2024", "Salt", "25 lb", "(12.50)", "Feed store"])
    third.append(["5/7/2024", "Salt", "25 lb", "€8.00", "Feed store"])
    notes: Any = book.create_sheet("Notes")
    notes.append(["remember to call about the fleshing knife"])
    return saved(book)
