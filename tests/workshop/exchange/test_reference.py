"""docs/reference/csv.md names every file, column and key, whether it is needed and every word that may stand in it."""

from __future__ import annotations

import re

from django.conf import settings

from costing.make.recipes.rules import BASES
from costing.models import Batch, RecipeStep, StepMark
from inventory.models import OUTWARD_REASONS, CostFlow, Method, Place, Skin
from workshop.exchange import reading
from workshop.exchange.files import LEDGER, SETTINGS, TABLES

PAGE = (settings.BASE_DIR / "docs" / "reference" / "csv.md").read_text("utf-8")
SECTIONS = dict(re.findall(r"^## (\S+\.csv)\n(.*?)(?=^## |\Z)", PAGE, re.MULTILINE | re.DOTALL))
COLUMN_ROW = re.compile(r"^\| `(\w+)` \|([^|]*)\|([^|]*)\|$", re.MULTILINE)
KEY_ROW = re.compile(r"^\| `(\w+)` \|([^|]*)\|$", re.MULTILINE)


def cell(file: str, column: str) -> str:
    rows: list[tuple[str, str, str]] = COLUMN_ROW.findall(SECTIONS[file])
    return next(text for name, _, text in rows if name == column)


def test_every_file_and_column_stands_on_the_page_and_the_other_way_round() -> None:
    told = {file: [name for name, *_ in COLUMN_ROW.findall(text)] for file, text in SECTIONS.items()}
    assert told == {file: [column.name for column in table.columns] for file, table in TABLES.items()}


def test_a_column_is_called_needed_when_it_is() -> None:
    for file, text in SECTIONS.items():
        told = {name for name, needed, _ in COLUMN_ROW.findall(text) if needed.strip() == "yes"}
        assert told == {column.name for column in TABLES[file].columns if column.needed}, file


def test_every_key_of_the_workshop_stands_on_the_page() -> None:
    assert [name for name, _ in KEY_ROW.findall(SECTIONS["workshop.csv"])] == list(SETTINGS)


def test_the_words_that_may_stand_in_a_cell_are_those_of_the_program() -> None:
    for words, file, column in (
        (Place.Kind.values, "places.csv", "kind"),
        (Method.values, "recipes.csv", "method"),
        (list(BASES), "recipes.csv", "basis"),
        (Skin.Owner.values, "skins.csv", "owner"),
        (Batch.ShareBy.values, "batches.csv", "share_by"),
        (list(OUTWARD_REASONS), "uses.csv", "reason"),
        ([word for word in RecipeStep.Uses.values if word], "steps.csv", "uses"),
        (StepMark.Kind.values, "marks.csv", "kind"),
    ):
        assert re.findall(r"`(\w+)`", cell(file, column)) == [str(word) for word in words], (file, column)
    keys = dict(KEY_ROW.findall(SECTIONS["workshop.csv"]))
    assert re.findall(r"`(\w+)`", keys["cost_flow"]) == CostFlow.values


def test_the_limits_and_the_ledger_files_are_those_of_the_program() -> None:
    assert f"{reading.MOST_ROWS:,} rows and {reading.MOST_BYTES // 1024**2} MB" in PAGE
    assert all(f"`{file}`" in PAGE.split("## Order on the shelf")[1] for file in LEDGER)
