"""What a run between changes leaves to CI: whole tests, or all cases of a rule but some."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from tests.thorough import left_out


@dataclass(frozen=True)
class Case:
    """As much of a test as is asked whether it stays."""

    nodeid: str
    but: int | None = None

    def get_closest_marker(self, name: str) -> pytest.Mark | None:
        marker = getattr(pytest.mark, name)
        return None if self.but is None else marker(but=self.but).mark if self.but else marker.mark


def test_of_a_rule_in_many_cases_so_many_stay_whatever_their_order() -> None:
    plain, whole = Case("a.py::plain"), Case("a.py::whole", 0)
    many = [Case(f"a.py::many[{case}]", 2) for case in range(9)]
    others = [Case(f"b.py::many[{case}]", 2) for case in range(2)]
    left = left_out([plain, whole, *many, *others])
    assert whole in left
    assert plain not in left
    assert len(left & set(many)) == 7
    assert not left & set(others)
    assert left_out([*others, *reversed(many), whole, plain]) == left
