"""Whatever stands in a file: it is brought in, asked about or refused in words, and never dies."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from tests.workshop.setup.bring.sheets import as_csv
from workshop.setup.bring.bringing import bring
from workshop.setup.bring.kinds import KINDS

HEADS = sorted({word for kind in KINDS.values() for field in kind.fields for word in field.words})
ODD = (
    """
1/5/2024|2024-02-30|31.12.24|Jan 5|$35.00|(12.50)|1,200|1.200,5|15 lb|2 x 1,5 kg|1 gal|½ cup|1/0 lb|=1+1||-|"|Total|1e9|0|kr
€|١٢|5 x|lb|1,2,3.4.5|999999999999999999999999999999
""".strip()
    .replace("\n", "|")
    .split("|")
)
CELLS = st.one_of(st.sampled_from(ODD), st.text(max_size=12))


@pytest.mark.django_db
def test_quotes_that_only_one_of_two_readers_takes_are_refused_in_words() -> None:
    """Semicolons part most of the lines, so the comma's quotes stand in the middle of cells."""
    workshop.set_up(name="Hides")
    with pytest.raises(Refused, match=r"a\.csv cannot be read as CSV"):
        bring(as_csv(["a piece", "a piece"], [";"], ["1,200", ";"]), "a.csv", into="", answers={}, dry_run=True)


@pytest.mark.thorough
@pytest.mark.django_db
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    into=st.sampled_from(["", *KINDS]),
    heads=st.lists(st.sampled_from(HEADS), min_size=2, max_size=6),
    rows=st.lists(st.lists(CELLS, min_size=1, max_size=7), min_size=1, max_size=6),
    answers=st.dictionaries(
        st.sampled_from(["date_order", "decimal", "unit", "unit:gal", "supplier", "doubtful", "paid", "how"]),
        st.sampled_from(["d", "m", ".", ",", "lb", "us_gallon", "own", "Ann", "leave", "cash", "bank"]),
    ),
)
def test_nothing_in_a_file_breaks_it(
    into: str, heads: list[str], rows: list[list[str]], answers: dict[str, str]
) -> None:
    workshop.set_up(name="Hides")
    with suppress(Refused):
        bring(as_csv(heads, *rows), "a.csv", into=into, answers=answers, dry_run=True)
