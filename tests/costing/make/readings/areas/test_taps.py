"""Points and defects as they are typed."""

from __future__ import annotations

import pytest

from costing.make.readings.areas.taps import Defect, defects, points, written
from inventory.errors import Refused


def test_what_is_written_is_read_again() -> None:
    ring = ((0.0, 12.5), (1600.0, 1199.9), (-3.0, 7.0))
    assert points(written(ring), "outline") == ring


@pytest.mark.parametrize("word", ["1", "1,2,3", "1;2", "one,two", "1e9,2", "nan,1", "1,2x", "9999999,1", "1,²"])
def test_a_word_that_is_no_point_is_refused_by_itself(word: str) -> None:
    with pytest.raises(Refused, match="is no point") as refusal:
        points(f"1,2 {word}", "outline")
    assert word in str(refusal.value)
    assert refusal.value.field == "outline"


def test_defects_stand_one_in_a_line_and_empty_lines_are_none() -> None:
    ring = ((1.0, 2.0), (3.0, 4.0))
    assert defects("\r\n Scar : 1,2 3,4\r\n\r\nthin:1,2 3,4\n", "defects") == (
        Defect("scar", ring),
        Defect("thin", ring),
    )


@pytest.mark.parametrize("line", ["1,2 3,4", "tear: 1,2", "hole 1,2", ":"])
def test_a_line_that_is_no_defect_is_refused(line: str) -> None:
    with pytest.raises(Refused, match="is no defect"):
        defects(line, "defects")
