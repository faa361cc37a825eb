"""Whatever stands in a cell, a folder is loaded or refused in words; it never breaks the program."""

from __future__ import annotations

import csv
import io
import tempfile
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from inventory.errors import Refused
from inventory.models import Workshop
from tests.thorough import THOROUGH
from tests.workshop.transfer import folders
from workshop.transfer.loading import load

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

CELLS = sorted(
    (file, row, column)
    for file, text in folders.SELLING.items()
    for row, record in enumerate(list(csv.DictReader(io.StringIO(text))), start=2)
    for column in record
)

ODD = st.sampled_from(
    [
        "0",
        "-1",
        "NaN",
        "1e999",
        "0,5",
        "1000000000",
        "0.000000001",
        "0.001",
        "12.345",
        "cup",
        "mL",
        "us_cup",
        "m",
        "dm2",
        "%",
        "9999-12-31",
        "0001-01-01",
        "2025-01-12",
        "H01",
        "h01",
        "H01 H02",
        "H01@2025-01-12..2025-01-13",
        "H01@2025-02-20..2025-01-01",
        "H04@2025-01-15",
        "SALT",
        "TAG",
        "B1",
        "B2",
        "R1",
        "2",
        "1/3",
        "yes",
        "customer",
        "mine",
        "sold",
        "percent_of_weight",
        "per_dm2",
        "area",
        "fifo",
        "JPY",
        "closed_to",
        "٣",
        "½",
        "\u202e",
        "a b",
        ".",
        "..",
        "1/10007",
        "S-001",
        "INV-002",
        "CN-001",
        "R-004",
        "J-1",
        "H01-1",
        "Mrs T",
        "Spring fair 2025-03-01",
        "credit",
        "work",
        "Gallery",
    ]
)

ANYTHING = st.text(st.characters(codec="utf-8", exclude_characters="\0\r"), max_size=30)


@pytest.mark.thorough
@settings(max_examples=25 if THOROUGH else 6, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(changes=st.lists(st.tuples(st.sampled_from(CELLS), ODD | ANYTHING), min_size=1, max_size=3))
def test_any_cell_is_loaded_or_refused_in_words(changes: list[tuple[tuple[str, int, str], str]]) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = folders.write(Path(name), folders.SELLING)
        for (file, row, column), value in changes:
            folders.change(folder, file, row, column, value)
        with suppress(Refused):
            load(folder, dry_run=True)
    assert not Workshop.objects.exists()
