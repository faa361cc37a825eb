"""No field is lost on save without an error: a column carries it, or it is named with the reason why none does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.db import models

from costing.models import Sale
from costing.sell.sales.invoices import selectors as papers
from inventory.models import Skin
from tests.workshop.transfer import (
    carried,
    folders,
    test_round_trip_accounts as accounts,
    test_round_trip_money as money,
)
from tests.workshop.transfer.test_round_trip import round_trip
from workshop.transfer.format import kinds
from workshop.transfer.format.columns import FILES, Column
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.loading import load


@pytest.fixture
def whim(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A field more on the skins, in memory alone."""
    field: models.CharField[str, str] = models.CharField(max_length=20)
    field.set_attributes_from_name("whim")
    field.model = Skin
    monkeypatch.setattr(Skin._meta, "local_fields", [*Skin._meta.local_fields, field])
    Skin._meta._expire_cache()
    yield
    monkeypatch.undo()
    Skin._meta._expire_cache()


def test_every_field_is_carried_by_a_column_or_named_with_its_reason() -> None:
    assert not carried.not_accounted_for()


def test_a_new_field_that_nobody_accounts_for_is_found(whim: None) -> None:
    assert carried.not_accounted_for() == ["Skin.whim"]


def test_a_new_field_with_a_reason_is_accounted_for(whim: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(carried.LEFT_OUT, ("Skin", "whim"), "to be seen")
    assert not carried.not_accounted_for()


@pytest.mark.parametrize(("file", "column", "lost"), [("skins.csv", "green_kg", "Skin.green_weight")])
def test_a_column_that_is_taken_away_leaves_its_field_behind(
    file: str, column: str, lost: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    rest = tuple(each for each in FILES[file].columns if each.name != column)
    monkeypatch.setitem(FILES, file, replace(FILES[file], columns=rest))
    assert carried.not_accounted_for() == [lost]


def test_no_field_is_named_that_is_not_there_or_that_is_carried_after_all(monkeypatch: pytest.MonkeyPatch) -> None:
    assert not carried.misnamed()
    for name in ("whim", "tag"):
        monkeypatch.setitem(carried.LEFT_OUT, ("Skin", name), "to be seen")
    assert carried.misnamed() == ["Skin.whim", "Skin.tag"]


def test_all_models_of_both_floors_are_asked_and_every_reason_is_said() -> None:
    both = {model.__name__ for app in ("inventory", "costing") for model in apps.get_app_config(app).get_models()}
    assert {model for model, _ in carried.fields()} == both
    assert all(carried.LEFT_OUT.values())


@pytest.mark.django_db
@pytest.mark.parametrize("file", ["papers.csv", "receipts.csv"])
def test_each_part_of_seller_and_buyer_that_a_paper_freezes_has_its_column(file: str) -> None:
    sides = [column.path.split(".") for column in FILES[file].columns if "." in column.path]
    assert {part for side, part in sides if side == "buyer"} == set(papers.buyer(None))
    assert {part for side, part in sides if side == "seller"} == set(papers.seller())


# What neither folder nor workshop of the round trips has.
BESIDE = {
    "closings.csv": "at,who,was,to,reason\n2025-01-01T08:00+00:00,,2024-12-31,,a bill came late\n",
    "sheets.csv": "heads,answers\nh,{}\n",
    "brought.csv": "row,on\nr,2025-01-01\n",
}


@pytest.mark.django_db
@pytest.mark.thorough
def test_a_load_asks_for_every_column_of_a_folder_but_its_numbers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A column that is read and given to no service would be lost on load."""
    asked: set[tuple[str, str]] = set()
    plain = CsvRow.__getitem__

    def asking(row: CsvRow, column: str) -> Any:
        asked.add((row.file.name, column))
        return plain(row, column)

    monkeypatch.setattr(CsvRow, "__getitem__", asking)
    for name, lived_in in (("money", money.lived_in), ("accounts", accounts.lived_in)):
        (tmp_path / name).mkdir()
        round_trip(lived_in, tmp_path / name)
    load(folders.write(tmp_path / "all", folders.FULL | BESIDE))
    assert Sale.objects.exists()
    columns = {(file.name, column.name) for file in FILES.values() for column in file.columns}
    keys = {(file.name, name) for file in FILES.values() for name in file.key}  # the row is found again by them
    assert columns - asked - keys == set()


@pytest.mark.django_db
def test_a_column_that_its_service_does_not_take_is_an_error_and_not_lost_on_load(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whim = Column("whim", kinds.named("text 20"), help="", path="whim", takes="whim")
    monkeypatch.setitem(FILES, "skins.csv", replace(FILES["skins.csv"], columns=(*FILES["skins.csv"].columns, whim)))
    with pytest.raises(TypeError, match="whim"):
        load(folders.write(tmp_path / "small"))


def test_what_a_column_refers_to_is_a_file_whose_rows_have_names() -> None:
    named = {column.refers for file in FILES.values() for column in file.columns} - {""}
    assert all(FILES[file].key for file in named)
