"""The table of speed has the rows that the benchmark fills in, no more and no fewer."""

from __future__ import annotations

from tests.benchmarks.table import PROMISED, Case, written
from tests.docs import pages


def names(text: str) -> list[str]:
    """The first cell of each row, without the head."""
    return [line.split("|")[1].strip() for line in text.split("\n") if line.startswith("| ")][1:]


def test_the_table_has_a_row_for_each_promise() -> None:
    assert names(pages.text("explanation/speed.md")) == list(PROMISED)


def test_a_run_writes_its_own_rows_alone() -> None:
    text = "| What | |\n|---|---|\n| Today | old |\n| worth | old |\nToday"
    found = written(text, [Case("Today", 0.1, 0.12, "", 1.0), Case("skins", 1, 1, "")])
    assert found.split("\n") == [
        "| What | |",
        "|---|---|",
        "| Today | 100.00 | 120.00 | 0.83× | 1.0× | met |",
        "| worth | old |",
        "Today",
    ]
    assert "not met" in written(text, [Case("Today", 0.2, 0.12, "", 1.0)])
