"""The table of speed has the rows that the benchmark fills in, no more and no fewer."""

from __future__ import annotations

import pytest

from tests.benchmarks.table import PROMISED, SERVER, Case, named, written
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
        "| Today | 100.00 ms | 120.00 ms | 0.83× | ≤ 1.0× | met |",
        "| worth | old |",
        "Today",
    ]
    assert "not met" in written(text, [Case("Today", 0.2, 0.12, "", 1.0)])


def told(case: Case) -> list[str]:
    return [cell.strip() for cell in case.row().strip("|").split("|")]


@pytest.mark.parametrize(("ours", "said"), [(65.0, "met"), (60.0, "met"), (59.0, "**not met**")])
def test_where_more_is_better_less_is_not_met(ours: float, said: str) -> None:
    case = Case("eight writers against one", ours, 100.0, "", least=0.6, unit="a second")
    assert told(case)[1:] == [f"{ours:.2f} a second", "100.00 a second", f"{ours / 100:.2f}×", "≥ 0.6×", said]


@pytest.mark.parametrize(("ours", "said"), [(0.005, "met"), (0.006, "met"), (0.007, "**not met**")])
def test_a_ceiling_is_one_of_the_figure_itself(ours: float, said: str) -> None:
    assert told(Case("a month", ours, 0.004, "", 2.0, 0.006))[-2:] == ["≤ 2.0×, ≤ 6 ms", said]


def test_what_is_counted_is_counted_in_its_own_unit() -> None:
    assert told(Case("queries", 107, 104, "", ceiling=90, unit="queries"))[1:] == [
        *("107.00 queries", "104.00 queries", "1.03×", "≤ 90 queries", "**not met**")
    ]


def test_a_row_of_one_database_is_never_filled_in_from_the_other() -> None:
    text = "| post one use | old |\n| post one use on PostgreSQL | old |"
    found = written(text, [Case(named("post one use", "postgresql"), 0.1, 0.1, "", 1.7)])
    assert found.split("\n")[0] == "| post one use | old |"
    assert "100.00 ms" in found.split("\n")[1]
    assert {name + SERVER for name in PROMISED} & set(PROMISED), "some are promised of both"
