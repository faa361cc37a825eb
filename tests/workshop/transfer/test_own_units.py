"""Pounds, gallons and square feet in a folder: loaded exactly, and saved as they were told."""

from __future__ import annotations

from pathlib import Path

import pytest

from inventory.models import Material, Skin
from tests import factories
from tests.workshop.transfer import folders
from workshop.transfer.format.problems import FolderRefused
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = pytest.mark.django_db
SKINS = """tag,species,date_in,green_weight,dry_weight,unit,wet_dm2,area_unit
H01,deer,2025-01-11,9,2.25,lb,92.90304,sq_ft
H02,deer,2025-01-11,900,,g,,
H03,deer,2025-01-11,4.5,,,,
"""
MATERIALS = """code,name,unit,pack_quantity,opening_date,opening_quantity,opening_value
SALT,Salt,lb,25,2025-01-01,40.5,20.00
OIL,Oil,us_gallon,,2025-01-01,0.625,9.00
"""


def folder(tmp_path: Path, **files: str) -> Path:
    return folders.write(tmp_path / "in", {f"{name}.csv": text for name, text in files.items()})


def test_a_green_weight_in_pounds_is_loaded_and_saved_as_it_was_told(tmp_path: Path) -> None:
    load(folder(tmp_path, skins=SKINS))
    told = Skin.objects.order_by("tag").values_list("green_weight", "dry_weight", "weight_unit", "area_unit")
    assert [tuple(map(str, each)) for each in told] == [
        ("4082.331", "1020.583", "lb", "sq_ft"),
        ("900.000", "None", "g", "dm2"),
        ("4500.000", "None", "kg", "dm2"),
    ]
    rows = Path(save(tmp_path / "out").folder) / "skins.csv"
    kept = [line.split(",") for line in rows.read_text("utf-8").splitlines()]
    columns = [
        kept[0].index(name) for name in ("green_kg", "green_weight", "dry_weight", "unit", "wet_dm2", "area_unit")
    ]
    assert [[row[at] for at in columns] for row in kept[1:]] == [
        ["", "9", "2.25", "lb", "92.90304", "sq_ft"],
        ["", "900", "", "g", "", ""],
        ["4.5", "", "", "", "", ""],
    ]


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        ("4,9,lb", "leave green_kg or green_weight empty"),
        (",9,sq_ft", "sq ft measures area"),
        (",9,cup", "not one size"),
    ],
)
def test_a_weight_told_twice_or_in_no_weight_is_refused_by_its_row(tmp_path: Path, cells: str, says: str) -> None:
    text = f"tag,species,date_in,green_kg,green_weight,unit\nH01,deer,2025-01-11,{cells}\n"
    with pytest.raises(FolderRefused, match=says):
        load(folder(tmp_path, skins=text))
    assert not Skin.objects.exists()


def test_what_is_kept_by_the_pound_and_the_gallon_is_saved_as_typed(tmp_path: Path) -> None:
    load(folder(tmp_path, materials=MATERIALS))
    assert {row.code: (row.base, str(row.on_hand)) for row in Material.objects.all()} == {
        "SALT": ("oz", "648.000"),
        "OIL": ("us_fluid_ounce", "80.000"),
    }
    factories.take(Material.objects.get(code="SALT"), "7.333")
    saved = Path(save(tmp_path / "out").folder)
    assert ",lb,,,25," in (saved / "materials.csv").read_text("utf-8")
    assert ",SALT,7.333,lb," in (saved / "uses.csv").read_text("utf-8")
