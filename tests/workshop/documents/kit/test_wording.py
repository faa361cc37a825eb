from __future__ import annotations

from decimal import Decimal

import pytest

from workshop.documents.kit import wording


def test_a_figure_is_never_rounded() -> None:
    assert wording.number(Decimal("0.0049"), 2) == "0.0049"


def test_a_figure_that_is_not_finite_is_refused() -> None:
    with pytest.raises(ValueError, match="finite number, not NaN"):
        wording.number(Decimal("NaN"))


@pytest.mark.parametrize(
    ("given", "said"),
    [("about 101 dm2", "about 101 dm², measured by hand"), ("9 dm²", "about 9 dm², measured by hand"), (" ", "")],
)
def test_an_area_is_always_called_approximate(given: str, said: str) -> None:
    assert wording.about(given) == said
