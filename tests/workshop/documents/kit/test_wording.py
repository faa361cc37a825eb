from __future__ import annotations

from decimal import Decimal

import pytest

from workshop.documents.kit import wording


def test_a_figure_is_never_rounded() -> None:
    assert wording.number(Decimal("0.0049"), 2) == "0.0049"


def test_a_figure_that_is_not_finite_is_refused() -> None:
    with pytest.raises(ValueError, match="finite number, not NaN"):
        wording.number(Decimal("NaN"))
