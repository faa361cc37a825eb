"""A folder with something wrong in it: the row is named, nothing is written, and rows that only follow from it are not blamed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from django.apps import apps
from django.db import connection

from costing.models import Batch, BatchSkin, LabourLine, RecipeStep, RecipeVersion, StepMark
from inventory.base import selectors as workshop
from inventory.base.accounting import services as workshop_service
from inventory.errors import Refused
from inventory.models import Article, Material, Place, Posting, Skin, Supplier, Workshop
from tests.workshop.transfer import folders
from workshop.transfer.format.problems import FolderRefused
from workshop.transfer.loading import load

pytestmark = [pytest.mark.django_db, pytest.mark.thorough]


@pytest.fixture
def small(tmp_path: Path) -> Path:
    return folders.write(tmp_path / "small")


def written() -> dict[str, int]:
    models = [*apps.get_app_config("inventory").get_models(), *apps.get_app_config("costing").get_models()]
    counts = (f"SELECT '{model.__name__}', count(*) FROM {model._meta.db_table}" for model in models)
    with connection.cursor() as cursor:
        cursor.execute(" UNION ALL ".join(counts))
        return {name: count for name, count in cursor.fetchall() if count}


def refused(folder: Path) -> FolderRefused:
    with pytest.raises(FolderRefused) as refusal:
        load(folder)
    assert not written()
    return refusal.value


def only(folder: Path, file: str, row: int, column: str, says: str) -> None:
    """One problem, at this place, whose reason says so."""
    (problem,) = refused(folder).problems
    assert (problem.file, problem.row, problem.column) == (file, row, column), str(problem)
    assert says in problem.reason


def test_the_small_workshop_loads(small: Path) -> None:
    loaded = load(small)
    assert loaded.written == {
        "settings": 6,
        "changes of rates": 2,
        "suppliers": 1,
        "places": 3,
        "channels": 2,
        "materials": 4,
        "openings": 4,
        "recipe lines": 3,
        "steps": 4,
        "skins": 4,
        "batches": 2,
        "marks": 4,
        "readings": 3,
        "order lines": 3,
        "materials set aside": 1,
        "delivery lines": 3,
        "uses": 6,
        "counts": 2,
        "losses": 1,
        "labour lines": 3,
        "articles": 4,
    }
    assert Posting.objects.filter(kind="use").count() == 4  # two rows of one day, batch and note are one bath
    assert BatchSkin.objects.get(batch__number="B1", skin__tag="H04").left_on == date(2025, 1, 15)
    assert dict(Batch.objects.values_list("number", "state")) == {"B1": "done", "B2": "done"}
    assert [Workshop.objects.get().closed_to, workshop.today()] == [date(2025, 1, 1), date(2025, 12, 31)]


def test_a_dry_run_checks_everything_and_writes_nothing(small: Path) -> None:
    assert load(small, dry_run=True).written["uses"] == 6
    assert not written()
    folders.change(small, "uses.csv", 2, "quantity", "600")
    with pytest.raises(FolderRefused):
        load(small, dry_run=True)


def test_files_may_be_absent_and_a_loaded_workshop_is_set_up(tmp_path: Path) -> None:
    load(folders.write(tmp_path / "few", {"places.csv": "name\nShelf\n"}))
    assert written() == {"Place": 1, "Workshop": 1}


def test_loading_needs_an_empty_workshop_and_says_how_to_get_one(small: Path) -> None:
    load(small)
    before = written()
    with pytest.raises(Refused, match="open --empty"):
        load(small)
    assert written() == before


def test_a_workshop_that_is_set_up_and_empty_is_filled(small: Path) -> None:
    workshop_service.set_up(name="Before")
    load(small)
    assert Workshop.objects.get().name == "Small"


@pytest.mark.parametrize(
    ("file", "row", "column", "value", "says"),
    [
        ("workshop.csv", 3, "value", "eur", "ISO 4217"),
        ("workshop.csv", 4, "value", "lifo", "average, fifo"),
        ("workshop.csv", 3, "key", "name", "row 2 already"),
        ("workshop.csv", 3, "value", "", "missing"),
        ("workshop.csv", 6, "value", "2999-01-01", "far in the future"),
        ("rates.csv", 2, "since", "", "missing"),
        ("rates.csv", 3, "since", "2025-11-01", "row 2 already"),
        ("rates.csv", 2, "since", "1901-01-01", "before 1970-01-01"),
        ("rates.csv", 2, "overhead_per_hour", "4.505", "2 decimals"),
        ("rates.csv", 2, "wage_per_hour", "-1", "zero or more"),
        ("rates.csv", 2, "vat_percent", "101", "not believable"),
        ("places.csv", 2, "kind", "barrel", "Choose one of shelf"),
        ("places.csv", 3, "litres", "0", "more than zero"),
        ("places.csv", 4, "holds", "0", "from 1 to"),
        ("channels.csv", 2, "fee_percent", "100", "leaves nothing"),
        ("materials.csv", 4, "density_g_per_ml", "0", "more than zero"),
        ("materials.csv", 4, "unit", "cup", "us_cup"),
        ("materials.csv", 4, "unit", "kgg", "not a unit"),
        ("materials.csv", 4, "substance", "alum", "safety data sheet"),
        ("materials.csv", 5, "opening_date", "", "needs its day"),
        ("materials.csv", 5, "opening_value", "2.001", "2 decimals"),
        ("recipes.csv", 3, "basis", "per_barrel", "per_litre"),
        ("recipes.csv", 3, "method", "bark", "differs from row 2"),
        ("recipes.csv", 3, "unit", "g", "density"),
        ("recipes.csv", 2, "method", "", "first row"),
        ("recipes.csv", 4, "material", "", "missing"),
        ("recipes.csv", 4, "amount", "", "missing"),
        ("recipes.csv", 4, "basis", "", "missing"),
        ("steps.csv", 2, "recipe", "R7", "recipes.csv has no R7 v1; did you mean R1 v1"),
        ("steps.csv", 3, "name", "", "missing"),
        ("steps.csv", 3, "name", "flesh", "row 2 already"),
        ("steps.csv", 3, "repeat", "", "say what is done every 1 days"),
        ("steps.csv", 3, "every_days", "", "how many days apart"),
        ("steps.csv", 3, "lasts_days", "", "how many days it lasts"),
        ("steps.csv", 3, "wait_days", "0.5", "whole number"),
        ("steps.csv", 2, "minutes", "10001", "from 0 to 10000"),
        ("steps.csv", 3, "uses", "barrel", "Choose one of tub, frame"),
        ("skins.csv", 4, "price", "5.00", "customer's skin"),
        ("skins.csv", 2, "date_in", "2999-01-11", "far in the future"),
        ("skins.csv", 2, "owner", "hers", "mine, customer"),
        ("skins.csv", 2, "place", "Attic", "places.csv has no Attic"),
        ("batches.csv", 2, "recipe", "R7", "did you mean R1"),
        ("batches.csv", 2, "skins", "H01 H09", "skins.csv has no H09"),
        ("batches.csv", 2, "skins", "H01@2025-01-10", "cannot join before"),
        ("batches.csv", 2, "frames", "Frame", "did you mean Frames"),
        ("batches.csv", 2, "frames", "Tub", "no set of frames"),
        ("marks.csv", 3, "batch", "B9", "batches.csv has no B9"),
        ("marks.csv", 3, "step", "Fleshing", "steps.csv has no Fleshing; did you mean Flesh"),
        ("marks.csv", 5, "step", "Flesh", "steps.csv has no Flesh;"),
        ("marks.csv", 2, "kind", "turned", "Choose one of done, skipped, repeat"),
        ("marks.csv", 2, "date", "2025-01-10", "starts on 2025-01-11"),
        ("marks.csv", 4, "date", "2025-01-11", "it begins on 2025-01-12"),
        ("marks.csv", 5, "date", "2999-01-20", "far in the future"),
        ("readings.csv", 2, "at", "2025-01-12T09:30", "with Z at its end"),
        ("readings.csv", 2, "at", "2999-01-12T09:30Z", "has not come yet"),
        ("readings.csv", 3, "at", "2025-01-10T17:00Z", "came in on 2025-01-11"),
        ("readings.csv", 2, "ph", "19", "between 0 and 14"),
        ("readings.csv", 2, "ph", "-1", "between 0 and 14"),
        ("readings.csv", 2, "ph", "3,4", "decimal comma"),
        ("readings.csv", 2, "celsius", "99", "between −20 °C and 80 °C"),
        ("readings.csv", 4, "weight_g", "0", "more than zero"),
        ("readings.csv", 3, "skin", "H05", "skins.csv has no H05"),
        ("deliveries.csv", 2, "material", "SLAT", "did you mean SALT"),
        ("deliveries.csv", 3, "carriage", "9.91", "one carriage"),
        ("deliveries.csv", 2, "pack_price", "11.505", "2 decimals"),
        ("deliveries.csv", 2, "packs", "0", "more than zero"),
        ("uses.csv", 2, "quantity", "0", "more than zero"),
        ("uses.csv", 2, "quantity", "-6", "more than zero"),
        ("uses.csv", 2, "quantity", "1e999", "plain number"),
        ("uses.csv", 2, "quantity", "6,0", "decimal comma"),
        ("uses.csv", 2, "unit", "pint", "us_pint"),
        ("uses.csv", 2, "unit", "m", "measures length"),
        ("uses.csv", 2, "date", "11.1.2025", "2025-01-31"),
        ("uses.csv", 2, "batch", "B3", "batches.csv has no B3"),
        ("uses.csv", 4, "skins", "H02 H77", "skins.csv has no H77"),
        ("uses.csv", 4, "date", "2025-01-10", "came in on 2025-01-11"),
        ("uses.csv", 7, "skins", "H01", "is not in B2"),
        ("uses.csv", 6, "reason", "", "Name the batch or the skins"),
        ("uses.csv", 2, "reason", "sold", "A reason is for goods"),
        ("counts.csv", 2, "quantity", "-1", "zero or more"),
        ("losses.csv", 2, "tag", "H99", "skins.csv has no H99"),
        ("losses.csv", 2, "reason", "", "missing"),
        ("labour.csv", 2, "minutes", "1441", "more than a day"),
        ("labour.csv", 3, "skins", "H04", "H04"),
        ("articles.csv", 2, "share", "3/3", "free"),
        ("articles.csv", 4, "method", "smoke", "alum_tawed"),
        ("articles.csv", 4, "skins", "H04", "was lost"),
        ("articles.csv", 4, "skins", "H02 H03", "H02 is your own, H03 is Mrs T's"),
        ("articles.csv", 4, "area", "0", "more than zero"),
        ("articles.csv", 5, "article", "H02", "used already"),
    ],
)
def test_a_bad_cell_is_named_with_its_place_and_reason(
    small: Path, file: str, row: int, column: str, value: str, says: str
) -> None:
    folders.change(small, file, row, column, value)
    refusal = refused(small)
    places = [(each.file, each.row, each.column) for each in refusal.problems if says in each.reason]
    assert (file, row, column) in places, str(refusal)


@pytest.mark.parametrize(
    ("file", "row", "column", "value", "blamed", "says"),
    [
        ("batches.csv", 2, "version", "9", "recipe", "recipes.csv has no R1 v9; did you mean R1 v"),
        ("labour.csv", 2, "batch", "", "skins", "Name a batch"),
        ("uses.csv", 6, "batch", "B1", "reason", "A reason is for goods"),
        ("marks.csv", 4, "step", "Frame", "date", "“Take out” comes before it"),
        ("marks.csv", 5, "kind", "repeat", "date", "nothing in it repeats"),
        ("readings.csv", 2, "batch", "", "skin", "of which batch or skin"),
        ("readings.csv", 3, "batch", "B2", "skin", "was never in B2"),
        ("readings.csv", 4, "weight_g", "", "", "Nothing is noted"),
    ],
)
def test_where_two_cells_do_not_go_together_one_of_them_is_named(
    small: Path, file: str, row: int, column: str, value: str, blamed: str, says: str
) -> None:
    folders.change(small, file, row, column, value)
    only(small, file, row, blamed, says)


@pytest.mark.parametrize(
    ("file", "line", "column", "row"),
    [
        ("materials.csv", "SALT,Salt again,,kg,,,,,,,,,,,", "code", 6),
        ("materials.csv", "salt,Salt again,,kg,,,,,,,,,,,", "code", 6),
        ("skins.csv", "h01,sheep,,,,2025-01-11,,,,,,", "tag", 6),
        ("places.csv", "Shelf,shed,,", "name", 5),
        ("channels.csv", "online,1,0,no", "name", 4),
        ("batches.csv", "B1,R1,1,2025-01-11,,,,,,,", "batch", 4),
        ("articles.csv", "2025-02-24,h02,rug,H02,1,80,,,bark,,", "article", 6),
        ("losses.csv", "2025-02-02,H04,again", "tag", 3),
    ],
)
def test_what_stands_twice_is_refused_where_it_stands_again(
    small: Path, file: str, line: str, column: str, row: int
) -> None:
    folders.add(small, file, line)
    if file == "articles.csv":
        folders.change(small, file, 4, "share", "1/2")
        folders.change(small, file, 6, "share", "1/2")
    only(small, file, row, column, "already")


def test_a_batch_whose_step_was_refused_is_not_blamed_for_the_steps_after_it(small: Path) -> None:
    folders.change(small, "marks.csv", 3, "date", "2025-01-10")
    refusal = refused(small)
    assert [(problem.file, problem.row) for problem in refusal.problems] == [("marks.csv", 3)]
    assert refusal.unchecked == 2  # the turn and the end of the bath; the mark of the other batch was judged


def test_a_refused_step_leaves_what_leans_on_its_recipe_unjudged(small: Path) -> None:
    folders.change(small, "steps.csv", 3, "uses", "barrel")
    refusal = refused(small)
    assert [(problem.file, problem.row) for problem in refusal.problems] == [("steps.csv", 3)]
    # Two lines and two more steps of the version, its batch with three marks and three readings, uses, labour.
    assert refusal.unchecked >= 10


def test_a_version_of_steps_alone_has_one_row_without_a_material(small: Path) -> None:
    folders.add(small, "recipes.csv", "R2,1,Scrape and dry,bark,,,,,,,,,")
    folders.add(small, "steps.csv", "R2,1,Scrape,,,,,,,30,,,,")
    load(small)
    version = RecipeVersion.objects.get(recipe__code="R2")
    assert (version.lines.count(), [step.name for step in version.steps.all()]) == (0, ["Scrape"])


def test_without_steps_a_row_without_a_material_is_refused(small: Path) -> None:
    folders.add(small, "recipes.csv", "R2,1,Scrape and dry,bark,,,,,,,,,")
    only(small, "recipes.csv", 5, "material", "missing")


def test_marks_are_written_by_their_days_and_put_the_batch_in_work(small: Path) -> None:
    for file in ("uses.csv", "labour.csv", "losses.csv", "articles.csv", "counts.csv", "readings.csv"):
        (small / file).unlink()
    folders.change(small, "batches.csv", 2, "skins", "H01 H02")
    folders.change(small, "batches.csv", 3, "skins", "")
    load(small)
    assert Batch.objects.get(number="B1").state == "in_work"
    assert Skin.objects.get(tag="H01").stage == "in_work"
    found = StepMark.objects.filter(batch__number="B1").order_by("pk").values_list("step__name", "kind", "on")
    assert list(found) == [
        ("Flesh", "done", date(2025, 1, 11)),
        ("Bath", "repeat", date(2025, 1, 14)),
        ("Bath", "done", date(2025, 1, 22)),
    ]


def test_a_folder_saved_before_the_shed_still_loads(small: Path) -> None:
    for file in ("steps.csv", "marks.csv", "readings.csv"):
        (small / file).unlink()
    old = folders.SMALL["batches.csv"].replace(",note,frames", ",note").replace(",first,Frames", ",first")
    (small / "batches.csv").write_text(old.replace("head,,,", "head,,"), encoding="utf-8")
    (small / "places.csv").write_text("name,kind\nShelf,shelf\nTub,tub\n", encoding="utf-8")
    load(small)
    tub = Place.objects.get(name="Tub")
    assert (tub.litres, tub.holds) == (None, 1)
    assert Batch.objects.get(number="B1").frames is None
    assert not RecipeStep.objects.exists()


def test_a_delivery_reference_twice_on_two_days_is_refused(small: Path) -> None:
    folders.add(small, "deliveries.csv", "2025-01-08,P-1,Utuharju Chemicals,0,TAG,1,10,,1.00,")
    only(small, "deliveries.csv", 5, "ref", "used already")


def test_more_than_the_shelf_holds_is_refused_with_what_is_there(small: Path) -> None:
    folders.change(small, "uses.csv", 3, "quantity", "41")
    problems = refused(small).problems
    assert (problems[0].file, problems[0].row, problems[0].column) == ("uses.csv", 3, "quantity")
    assert "40 pc on the shelf" in problems[0].reason


def test_every_short_material_of_one_bath_is_named_by_its_own_row_and_later_ones_say_that_they_may_follow(
    small: Path,
) -> None:
    folders.change(small, "uses.csv", 2, "quantity", "63")
    folders.change(small, "uses.csv", 3, "quantity", "41")
    folders.change(small, "uses.csv", 6, "quantity", "77")
    problems = refused(small).problems
    assert [(problem.file, problem.row) for problem in problems] == [("uses.csv", 2), ("uses.csv", 3), ("uses.csv", 6)]
    assert ["may follow" in problem.reason for problem in problems] == [False, False, True]


def test_a_powder_by_the_cup_needs_its_own_density(small: Path) -> None:
    folders.add(small, "uses.csv", "2025-01-13,,FLOUR,1,us_cup,own_use,,,")
    only(small, "uses.csv", 8, "unit", "own density")


def test_nothing_is_posted_into_a_closed_period(small: Path) -> None:
    workshop_service.close_books(to=date(2025, 1, 11))
    with pytest.raises(FolderRefused) as refusal:
        load(small)
    assert "closed to 2025-01-11" in str(refusal.value)
    assert written() == {"Workshop": 1, "Closing": 1, "ChainLink": 1}


def test_every_bad_row_is_named_in_one_run(small: Path) -> None:
    folders.change(small, "skins.csv", 5, "price", "12,00")
    folders.change(small, "channels.csv", 3, "fixed_cost", "x")
    folders.change(small, "uses.csv", 6, "reason", "thrown")
    folders.change(small, "labour.csv", 4, "minutes", "0")
    folders.change(small, "articles.csv", 5, "skins", "H55")
    found = {(problem.file, problem.row) for problem in refused(small).problems}
    assert found == {("skins.csv", 5), ("channels.csv", 3), ("uses.csv", 6), ("labour.csv", 4), ("articles.csv", 5)}


def test_rows_that_lean_on_a_refused_row_are_counted_and_not_blamed(small: Path) -> None:
    folders.change(small, "materials.csv", 2, "unit", "cup")
    refusal = refused(small)
    assert [(problem.file, problem.row) for problem in refusal.problems] == [("materials.csv", 2)]
    # SALT: two recipe versions, two batches, a delivery, uses, a count, labour on the batch; the shares of its skins stand.
    assert refusal.unchecked >= 8
    assert "not checked further" in str(refusal)


def test_a_supplier_of_a_refused_row_is_not_left_behind(small: Path) -> None:
    folders.change(small, "skins.csv", 2, "supplier", "Nobody")
    folders.change(small, "skins.csv", 2, "place", "Attic")
    refused(small)
    assert not Supplier.objects.exists()


def test_fifty_unreadable_rows_end_the_run_before_anything_is_written(tmp_path: Path) -> None:
    lines = "".join(f"T{number},sheep,never\n" for number in range(60))
    refusal = refused(folders.write(tmp_path / "bad", {"skins.csv": "tag,species,date_in\n" + lines}))
    assert len(refusal.problems) == 60
    assert "and 10 more" in str(refusal)


def ledger(**files: str) -> dict[str, str]:
    heads = {
        "materials": "code,name,unit,opening_date,opening_quantity,opening_value",
        "deliveries": "date,ref,supplier,carriage,material,packs,pack_quantity,pack_price",
        "uses": "date,material,quantity,reason",
        "counts": "date,material,quantity",
    }
    return {
        f"{name}.csv": f"{heads[name]}{',seq' if text.startswith('#') else ''}\n{text.lstrip('#')}"
        for name, text in files.items()
    }


def kinds() -> list[str]:
    return list(Posting.objects.order_by("pk").values_list("kind", flat=True))


def test_a_day_goes_opening_delivery_use_count_whatever_the_order_of_rows(tmp_path: Path) -> None:
    files = ledger(
        counts="2025-01-02,SALT,5\n2025-01-01,SALT,19\n",
        uses="2025-01-02,SALT,10,sold\n2025-01-01,SALT,1,spoiled\n",
        deliveries="2025-01-01,,Shop,0,SALT,1,10,5.00\n",
        materials="SALT,Salt,kg,2025-01-01,10,5.00\n",
    )
    load(folders.write(tmp_path / "days", files))
    assert kinds() == ["opening", "receipt", "spoiled", "sold", "count"]


def test_seq_writes_entries_in_its_own_order_and_rows_that_share_it_as_one(tmp_path: Path) -> None:
    files = ledger(
        materials="#SALT,Salt,kg,2025-01-01,10,5.00,1\nTAG,Tags,piece,2025-01-01,10,1.00,2\n",
        uses="#2025-01-03,SALT,2,sold,3\n2025-01-03,TAG,1,sold,3\n2025-01-03,SALT,1,sold,5\n",
        deliveries="#2025-01-02,,Shop,0,SALT,1,10,9.00,4\n",
    )
    load(folders.write(tmp_path / "numbered", files))
    assert kinds() == ["opening", "opening", "sold", "receipt", "sold"]
    assert Posting.objects.filter(kind="sold").first() is not None
    assert sorted(posting.movements.count() for posting in Posting.objects.filter(kind="sold")) == [1, 2]


SEQ_WRONG: dict[str, tuple[Callable[[], dict[str, str]], str]] = {
    "missing in one file": (
        lambda: ledger(materials="#SALT,Salt,kg,2025-01-01,10,5.00,1\n", uses="2025-01-03,SALT,2,sold\n"),
        "Number every row",
    ),
    "used in two files": (
        lambda: ledger(materials="#SALT,Salt,kg,2025-01-01,10,5.00,1\n", uses="#2025-01-03,SALT,2,sold,1\n"),
        "seq is in materials.csv row 2 too",
    ),
    "for two entries": (
        lambda: ledger(
            materials="#SALT,Salt,kg,2025-01-01,10,5.00,1\n",
            uses="#2025-01-03,SALT,2,sold,2\n2025-01-04,SALT,2,sold,2\n",
        ),
        "must agree",
    ),
}


@pytest.mark.parametrize("case", SEQ_WRONG)
def test_numbers_that_leave_the_order_open_are_refused(tmp_path: Path, case: str) -> None:
    make, says = SEQ_WRONG[case]
    (problem,) = refused(folders.write(tmp_path / "seq", make())).problems
    assert (problem.file, problem.column) == ("uses.csv", "seq")
    assert says in problem.reason


def test_deliveries_without_a_reference_are_one_only_side_by_side(tmp_path: Path) -> None:
    files = ledger(
        materials="SALT,Salt,kg,,,\nTAG,Tags,piece,,,\n",
        deliveries=(
            "2025-01-02,,Shop,1,SALT,1,10,9.00\n2025-01-02,,Shop,1,TAG,1,10,1.00\n"
            "2025-01-02,,Other,0,TAG,1,10,1.00\n2025-01-02,,Shop,1,SALT,1,10,9.00\n"
        ),
    )
    load(folders.write(tmp_path / "goods", files))
    assert [posting.movements.count() for posting in Posting.objects.order_by("pk")] == [2, 1, 1]
    assert sum(material.value for material in Material.objects.all()) == Decimal("22.00")


def test_a_late_cost_is_in_the_article_because_articles_are_made_last(small: Path) -> None:
    folders.add(small, "labour.csv", "2025-03-05,,H02,comb,60,Aino,10.00,")
    load(small)
    article = Article.objects.get(number="H02")
    assert article.cost.late_book == 0
    assert article.book_cost == article.cost.book
    assert LabourLine.objects.filter(on__gt=article.finished_on).exists()
    assert Skin.objects.get(tag="H02").stage == "finished"


def test_a_day_and_a_step_that_disagree_are_refused_with_both_named(small: Path) -> None:
    folders.change(small, "recipes.csv", 2, "day", "0")
    only(small, "recipes.csv", 2, "day", "Day 0 and the step Bath do not agree: Bath runs from day 1 to day 12")


def test_a_day_on_which_no_step_runs_is_refused(small: Path) -> None:
    folders.change(small, "recipes.csv", 3, "step", "")
    folders.change(small, "recipes.csv", 3, "day", "40")
    only(small, "recipes.csv", 3, "day", "No step runs on day 40")


def test_a_line_that_is_not_in_the_recipe_is_refused(small: Path) -> None:
    folders.add(small, "skipped.csv", "date,batch,line,reason")
    folders.add(small, "skipped.csv", "2025-01-20,B2,7,came salted")
    only(small, "skipped.csv", 2, "line", "no line 7")
