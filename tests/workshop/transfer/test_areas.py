"""Areas told by photos, saved and loaded: the same rows, the skin's areas as they were, what was before behind them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pytest_django import Settings

from costing.make.readings import services as readings
from costing.make.readings.areas import services as areas
from costing.make.readings.areas.models import PhotoArea
from costing.make.readings.areas.taps import Defect, Ring, Tapped
from inventory.base.chain import selectors as chain
from inventory.errors import Refused
from inventory.models import Skin
from inventory.skins import services as skins
from tests import factories
from tests.costing.make.readings.areas import photos
from tests.workshop.transfer import folders
from tests.workshop.transfer.test_round_trip import passing
from workshop.transfer import manifest
from workshop.transfer.format.problems import FolderRefused, Problem
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = pytest.mark.django_db
FIGURES = (*areas.AREAS, *areas.LENGTHS)
HELD = ("skin__tag", "wet", "on", *FIGURES, "frame_width", "frame_height", "apart", "photo", "taps", "was")
IN_A_FRAME = folders.BOUGHT | {
    "skins.csv": "tag,species,owner,date_in,price,wet_dm2,dry_dm2\nH01,sheep,mine,2025-01-11,12.00,90,77.7\n",
    "areas.csv": folders.FULL["areas.csv"].replace("H02,", "H01,"),
}


@pytest.fixture(autouse=True)
def store(settings: Settings, tmp_path: Path) -> Path:
    settings.DATA_DIR = tmp_path / "data"
    return tmp_path / "data" / "photos"


@cache
def hide(lot: int = 7) -> tuple[bytes, Ring, Ring, Ring]:
    """A photo, the corners of its frame, the outline and a hole, in its pixels."""
    chance = np.random.default_rng(lot)
    scene = photos.Scene(900, 700, photos.hide(chance, 900, 700), (photos.hole(chance, 900, 700),))
    view = photos.camera(chance, scene, (480, 360), tilt=20)
    frame = np.array([(0, 0), (900, 0), (900, 700), (0, 700)], dtype=float)
    seen = (tuple((float(x), float(y)) for x, y in view.sees(each)) for each in (frame, scene.outline, scene.holes[0]))
    corners, outline, hole = seen
    return photos.photo(chance, scene, view), corners, outline, hole


def tapped(lot: int = 7) -> Tapped:
    _, corners, outline, hole = hide(lot)
    return Tapped(corners, outline, (Defect("hole", hole),), width=Decimal("900.125"), height=Decimal(700))


def between_marks() -> Tapped:
    _, (first, second, *_), outline, hole = hide()
    return Tapped((first, second), outline, (Defect("scar", hole),), apart=Decimal(900))


def lived_in() -> Skin:
    """Dry areas, one of them struck out, a wet one by the same photo, which a reading names too; then a word of the maker."""
    skin = factories.skin("H01")
    skins.set_area(skin, Decimal("5000.5"), wet=False)
    photo, other = readings.keep(hide()[0]), readings.keep(hide(8)[0])
    on = factories.DAY + timedelta(days=3)
    areas.measure(skin=skin, photo=photo, tapped=tapped(), on=on)
    wrong = areas.measure(skin=skin, photo=other, tapped=tapped(8), on=on)
    areas.measure(skin=skin, photo=other, tapped=replace(tapped(8), defects=()), on=on - timedelta(days=1))
    areas.measure(skin=skin, photo=photo, tapped=between_marks(), on=on, wet=True)
    areas.reverse(area=wrong)
    readings.note(tags=["H01"], photo=hide()[0])
    skin.refresh_from_db()
    skins.set_area(skin, Decimal(6200), wet=True)
    return skin


def rows() -> list[tuple[object, ...]]:
    return list(PhotoArea.objects.filter(reversed_at__isnull=True).order_by("pk").values_list(*HELD))


@pytest.fixture
def trip(tmp_path: Path) -> tuple[list[tuple[object, ...]], tuple[object, ...]]:
    """What the workshop had; now it is loaded from its own folder."""
    with passing():
        skin = lived_in()
        skin.refresh_from_db()
        before = rows(), (skin.wet_area, skin.dry_area)
        saved = save(tmp_path / "A")
        assert (saved.photos, saved.rows["areas.csv"], saved.taken_back) == (2, 3, 1)
    load(tmp_path / "A")
    return before


def test_areas_come_back_the_same_and_leave_the_skin_as_it_was(
    trip: tuple[list[tuple[object, ...]], tuple[object, ...]], tmp_path: Path
) -> None:
    was, of_skin = trip
    assert rows() == was
    skin = Skin.objects.get()
    assert (skin.wet_area, skin.dry_area) == of_skin
    assert skin.wet_area == 6200
    assert list(chain.findings()) == []
    save(tmp_path / "B")
    first, second = (
        {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
        for folder in (tmp_path / "A", tmp_path / "B")
    )
    assert first.pop(Path(manifest.NAME)) != second.pop(Path(manifest.NAME))  # which names the chain of the books
    assert first == second


def test_after_a_load_what_was_before_an_area_stands_again_when_it_is_reversed(trip: object) -> None:
    first, second = PhotoArea.objects.filter(wet=False).order_by("pk")
    assert (first.was, second.was) == (Decimal("5000.5"), first.area)
    areas.reverse(area=second)
    assert Skin.objects.get().dry_area == first.area
    areas.reverse(area=first)
    assert Skin.objects.get().dry_area == Decimal("5000.5")
    areas.reverse(area=PhotoArea.objects.get(wet=True))
    assert Skin.objects.get().wet_area == 6200  # the maker's own, which came later
    assert list(chain.findings()) == []


def test_an_area_that_was_changed_in_the_database_is_noticed_and_what_was_before_it_may_change() -> None:
    lived_in()
    PhotoArea.objects.filter(wet=True).update(was=1)
    assert list(chain.findings()) == []
    PhotoArea.objects.filter(wet=True).update(taps={})
    assert len(list(chain.findings())) == 1


def refused(folder: Path) -> list[Problem]:
    with pytest.raises(FolderRefused) as refusal:
        load(folder)
    assert not Skin.objects.exists()
    return list(refusal.value.problems)


@pytest.fixture
def framed(tmp_path: Path) -> Path:
    return folders.write(tmp_path / "framed", IN_A_FRAME)


def test_figures_that_were_told_are_kept_and_the_others_measured(framed: Path) -> None:
    load(framed)
    told, found = PhotoArea.objects.order_by("pk")
    assert (told.area, told.plus_minus, told.usable, told.was) == (7000, 400, 7000, 6000)
    assert (told.perimeter, told.length, told.width) == (3400, 1220, 1150)
    assert 0 < found.plus_minus < found.area == found.usable
    assert found.was is None
    assert Skin.objects.values_list("wet_area", "dry_area").get() == (9000, 7770)


@pytest.mark.thorough(but=6)
@pytest.mark.parametrize(
    ("column", "value", "says"),
    [
        ("skin", "H07", "skins.csv has no H07"),
        ("date", "2025-01-10", "came in on 2025-01-11"),
        ("wet", "perhaps", "not a known choice"),
        ("frame_width_mm", "900", "One scale is enough"),
        ("frame_width_mm", "NaN", "not a plain number"),
        ("apart_mm", "", "width of the frame"),
        ("apart_mm", "1e999", "not a plain number"),
        ("apart_mm", "1000000000", "must be"),
        ("photo", "none.jpg", "photos/none.jpg is missing"),
        ("photo", "../areas.csv", "not a plain file name"),
        ("photo", "/etc/hostname", "not a plain file name"),
        ("photo", "", "missing and is needed"),
        ("corners", "NaN,10 110,10", "“NaN,10” is no point"),
        ("corners", "10,10 inf,10", "“inf,10” is no point"),
        ("corners", "10,10", "two ends"),
        ("corners", "10,10 10,10", "one point"),
        ("outline", "20,20 1e9,20 120,90", "is no point"),
        ("outline", "20,20 9999999,20 120,90", "is no point"),
        ("outline", "20,20 120,20", "2 points"),
        ("outline", "20,20 120,20 20,90 100,100", "crosses itself"),
        ("outline", "٣,20 120,20 120,90", "is no point"),
        ("defects", "spot: 40,40 50,40 50,50", "is no defect"),
        ("defects", "40,40 50,40 50,50", "is no defect"),
        ("defects", "hole: 140,40 150,40 150,50", "not inside the outline"),
        ("area_dm2", "12", "By the photo and its points it is"),
        ("usable_dm2", "70.01", "More is usable than there is"),
        ("plus_minus_dm2", "40", "By the photo"),
        ("perimeter_mm", "12", "By the photo"),
        ("was_dm2", "0", "more than zero"),
    ],
)
def test_what_is_no_area_is_named_by_its_row(framed: Path, store: Path, column: str, value: str, says: str) -> None:
    folders.change(framed, "areas.csv", 2, column, value)
    (problem,) = refused(framed)
    assert (problem.file, problem.row) == ("areas.csv", 2)
    assert says in problem.reason, str(problem)
    scale = {"apart_mm", "frame_width_mm"}  # which of the two is meant nobody can say
    assert problem.column == column or {problem.column, column} == scale
    assert not store.is_dir() or list(store.iterdir()) == []


def test_a_million_points_are_turned_away_at_once(framed: Path) -> None:
    folders.change(framed, "areas.csv", 2, "outline", "20,20 " * 1_000_000)
    (problem,) = refused(framed)
    assert (problem.file, "field larger" in problem.reason) == ("areas.csv", True)
    folders.write(framed, IN_A_FRAME)
    folders.change(framed, "areas.csv", 2, "outline", "20,20 " * 20_000)
    (problem,) = refused(framed)
    assert (problem.row, problem.column, "20000 points" in problem.reason) == (2, "outline", True)


def test_what_is_measured_always_fits_a_cell() -> None:
    """More points than a cell holds would be saved and could not be loaded."""
    skin, photo = factories.skin("H01"), readings.keep(folders.picture())
    many = Defect("scar", ((1.0, 1.0),) * 900)
    with pytest.raises(Refused, match="4,500 points together; at most 4,000"):
        areas.measure(skin=skin, photo=photo, tapped=replace(tapped(), defects=(many,) * 5), on=factories.DAY)


def test_a_photo_that_is_kept_smaller_is_refused_for_its_points_would_lie_elsewhere(framed: Path, store: Path) -> None:
    held = BytesIO()
    Image.new("L", (2000, 1500), 120).save(held, "JPEG")
    (framed / "photos" / "hide.jpg").write_bytes(held.getvalue())
    problems = refused(framed)
    assert [(each.row, each.column) for each in problems] == [(2, "photo"), (3, "photo")]
    assert "2000 × 1500 pixels and is kept with 1600 × 1200" in problems[0].reason
    assert list(store.iterdir()) == []


def test_one_photo_may_be_named_by_both_files_and_one_by_none_is_refused(framed: Path, store: Path) -> None:
    (framed / "readings.csv").write_text("at,skin,photo\n2025-01-13T08:00Z,H01,hide.jpg\n", encoding="utf-8")
    load(framed, dry_run=True)
    assert list(store.iterdir()) == []
    (framed / "photos" / "other.jpg").write_bytes(folders.picture())
    (problem,) = refused(framed)
    assert (problem.file, "readings.csv or areas.csv" in problem.reason) == ("photos/other.jpg", True)


def test_an_area_whose_photo_is_gone_stops_saving_and_says_the_ways_out(framed: Path, tmp_path: Path) -> None:
    load(framed)
    held = list(PhotoArea.objects.order_by("pk"))
    readings.path(held[0].photo).unlink()
    with pytest.raises(Refused, match=r"of the area of H01 of 2025-01-12 is missing .*backup, or reverse that entry"):
        save(tmp_path / "out")
    for each in held:
        areas.reverse(area=each)
    saved = save(tmp_path / "out")
    assert (saved.photos, saved.taken_back, "areas.csv" in saved.rows) == (0, 2, False)


def test_a_day_that_has_not_come_is_refused(framed: Path) -> None:
    folders.change(framed, "areas.csv", 2, "date", f"{date.max.year - 1}-01-01")
    (problem,) = refused(framed)
    assert (problem.row, problem.column) == (2, "date")
