"""What is saved loads into the same workshop: the same files again, byte for byte, and the same quantities, values and costs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import transaction

from costing.models import Batch, BatchSkin
from costing.selectors import costs
from costing.services import articles, batches, channels, labour, losses, rates, recipes
from inventory.models import Article, Kind, Lot, Material, Movement, Posting, Skin
from inventory.services import deliveries, ledger, materials, places, skins, suppliers, workshop
from inventory.services.articles import Piece
from tests.workshop.exchange import folders
from workshop.exchange import load, save

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

DEMO = settings.BASE_DIR / "fixtures" / "demo"


def day(month: int, number: int) -> date:
    return date(2025, month, number)


@contextmanager
def passing() -> Iterator[None]:
    """A workshop that is gone again afterwards."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def state() -> dict[str, Any]:
    """Everything that is worked out from the entries and must come back the same."""
    return {
        "shelf": {m.code: (m.on_hand, m.value) for m in Material.objects.all()},
        "lots": sorted(
            (lot.material.code, lot.on, lot.quantity, lot.value) for lot in Lot.objects.select_related("material")
        ),
        "movements": [
            (m.material.code, m.kind, m.on, m.quantity, m.value, m.quantity_left, m.value_left)
            for m in Movement.objects.filter(posting__reverses__isnull=True, posting__reversed_by__isnull=True)
            .select_related("material")
            .order_by("pk")
        ],
        "skins": dict(costs.skin_shares(Skin.objects.all())),
        "stages": sorted(Skin.objects.values_list("tag", "stage", "lost_on")),
        "batches": sorted(Batch.objects.values_list("number", "state", "litres", "share_by")),
        "stays": sorted(map(str, BatchSkin.objects.values_list("batch__number", "skin__tag", "joined_on", "left_on"))),
        "articles": {
            a.number: (
                a.book_cost,
                a.cost.book + a.cost.late_book,
                a.cost.full + a.cost.late_full,
                a.area,
                a.list_price,
            )
            for a in Article.objects.select_related("cost")
        },
    }


def texts(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def round_trip(make: Callable[[], object], folder: Path) -> tuple[dict[str, Any], dict[str, Any]]:
    """Make a workshop, save it, load that, save again: the files must be the same; answers both states."""
    with passing():
        make()
        before = state()
        save(folder / "A")
    with passing():
        load(folder / "A")
        after = state()
        save(folder / "B")
    assert texts(folder / "A") == texts(folder / "B")
    return before, after


def test_the_demo_year_comes_back_the_same(tmp_path: Path) -> None:
    before, after = round_trip(lambda: load(DEMO), tmp_path)
    assert before == after
    assert len(after["articles"]) == 12


def test_a_saved_folder_has_the_rows_of_the_folder_it_came_from(tmp_path: Path) -> None:
    with passing():
        load(DEMO)
        saved = save(tmp_path / "out")
    lines = {path.name: len(path.read_text("utf-8").splitlines()) - 1 for path in DEMO.glob("*.csv")}
    assert saved.rows.pop("suppliers.csv") == lines.pop("suppliers.csv") + 1  # the village shop, made by its name
    del saved.rows["workshop.csv"], lines["workshop.csv"]
    assert saved.rows == lines


@pytest.mark.parametrize("flow", ["average", "fifo"])
def test_the_small_workshop_comes_back_the_same(tmp_path: Path, flow: str) -> None:
    folder = folders.write(tmp_path / "small")
    folders.change(folder, "workshop.csv", 4, "value", flow)
    before, after = round_trip(lambda: load(folder), tmp_path)
    assert before == after


def lived_in(flow: str) -> None:
    """A workshop kept in the pages: typed measures, late and back-dated entries, moves between batches, changed rates."""
    workshop.set_up(name="Lived in", postal_address="Lane 1\n99999 Utuharju", currency="EUR", cost_flow=flow)
    rates.set_rates(wage_per_hour=Decimal(16), overhead_per_hour=Decimal(4), frame_wear=Decimal("1.52"))
    channels.save(name="Fair", fee_percent=Decimal("1.9"), fixed_cost=Decimal(0), usual=True)
    tub = places.create(name="Tub", kind="tub")
    salt = materials.create(
        code="SALT",
        details=materials.Details(
            "Salt", "lb", "salt", density_g_per_ml=Decimal("1.217"), pack_quantity=Decimal("55.1")
        ),
    )
    oil = materials.create(code="OIL", details=materials.Details("Oil", "us_gallon", shelf_life_days=300))
    materials.open_stock(material=salt, on=day(1, 1), quantity=Decimal(7), unit="kg", value=Decimal("3.10"))
    materials.open_stock(material=salt, on=day(1, 2), quantity=Decimal(3), unit="us_cup", value=Decimal("0.40"))
    shop = suppliers.named(name="Shop")
    line = deliveries.Line
    for on, price in ((day(1, 5), "9.10"), (day(1, 5), "9.90"), (day(2, 5), "12.35")):
        deliveries.record(
            supplier=shop,
            on=on,
            carriage=Decimal("3.33"),
            lines=[
                line(salt, Decimal(1), Decimal(25), Decimal(price), "kg"),
                line(oil, Decimal("1.5"), Decimal(1), Decimal("14.90"), "us_gallon"),
            ],
        )
    bath = recipes.write(
        code="R1",
        name="Bath",
        method="alum_tawed",
        litres_per_skin=Decimal(6),
        lines=[
            recipes.Line(salt, Decimal("2.5"), "us_cup", "per_litre", "bath", 0),
            recipes.Line(salt, Decimal(40), "%", "percent_of_weight", "cure", 3),
        ],
    )
    recipes.write(code="R1", method="alum_tawed", lines=[recipes.Line(oil, Decimal(80), "mL", "per_skin")], note="2nd")
    for number, price in enumerate(("12.00", "12.35", "9.99", "7.01", "0"), start=1):
        customer = price == "0"
        skins.take_in(
            tag=f"H0{number}",
            details=skins.Details(
                species="sheep",
                date_in=day(1, 10),
                owner="customer" if customer else "mine",
                customer="Mrs T" if customer else "",
                price=Decimal(price),
                green_weight=Decimal(4000 + 77 * number),
                wet_area=Decimal(9000 + number),
                supplier=None if customer else suppliers.named(name="Farm"),
            ),
        )
    tags = [f"H0{number}" for number in range(1, 6)]
    first = batches.plan(
        number="B1", version=bath, start=day(1, 11), litres=Decimal("17.3"), tags=tags[:4], share_by="weight", place=tub
    )
    second = batches.plan(number="B2", version=bath, start=day(1, 20))
    batches.plan(number="B3", version=bath, start=day(6, 1), planned_skins=2, tags=tags[4:], note="planned")

    def put(batch: Batch | None, on: date, of: Material, quantity: str, unit: str, *named: str) -> object:
        amounts = [batches.Amount(of, Decimal(quantity), unit, Decimal("100.5") if named else None)]
        return batches.put_in_work(batch=batch, on=on, amounts=amounts, tags=named, reason="bath" if named else "")

    put(first, day(1, 11), salt, "3.333", "kg")
    put(first, day(1, 11), salt, "2.5", "us_cup", "H02")
    put(None, day(1, 10), salt, "0.7", "lb", "H05")
    batches.leave(batch=first, skin=Skin.objects.get(tag="H03"), on=day(1, 18))
    batches.join(batch=second, tags=["H03"], on=day(1, 22))
    put(second, day(1, 23), oil, "80", "mL", "H03")
    labour.log(on=day(1, 12), task="flesh", minutes=Decimal("95.5"), batch=first)
    labour.log(on=day(1, 24), task="lace", minutes=Decimal(40), batch=second, laced=False)
    labour.log(
        on=day(1, 30), task="soften", minutes=Decimal(60), tags=["H01", "H02"], who="Aino", paid=Decimal("15.01")
    )
    losses.lose(skin=Skin.objects.get(tag="H04"), on=day(1, 25), reason="slipped; too warm")
    put(first, day(2, 10), salt, "1.111", "kg")
    # Written late: before the second delivery by date, after it by writing.
    put(first, day(1, 14), oil, "0.123", "L")
    ledger.count(on=day(1, 31), material=salt, counted=Decimal(54321), reason="")
    ledger.issue(
        kind=Kind.GIVEN, on=day(3, 1), draws=[ledger.Draw(oil, Decimal("33.333"), "33.333 mL")], reason="to a friend"
    )
    articles.finish(
        on=day(2, 22), tags=["H01"], pieces=[Piece("A1", "pouch", "alum_tawed", share=Fraction(1, 3), place=tub)]
    )
    articles.finish(
        on=day(2, 22),
        tags=["H01"],
        pieces=[Piece(f"A{n}", "pouch", "alum_tawed", share=Fraction(1, 3), area=Decimal("929.03")) for n in (2, 3)],
    )
    rates.set_rates(wage_per_hour=Decimal(18), frame_wear=Decimal(0))
    articles.finish(
        on=day(3, 20), tags=["H02", "H03"], pieces=[Piece("A4", "cushion", "bark", list_price=Decimal(95), grade="A")]
    )
    # Late: after the skins were finished.
    labour.log(on=day(4, 1), task="comb", minutes=Decimal(11), batch=first)
    put(first, day(4, 2), salt, "0.05", "kg")
    ledger.count(on=day(5, 1), material=oil, counted=Decimal(Material.objects.get(code="OIL").on_hand + 7))
    workshop.close_books(to=day(3, 31))
    workshop.pin_today(on=day(12, 31))


@pytest.mark.parametrize("flow", ["average", "fifo"])
def test_a_workshop_that_was_lived_in_comes_back_the_same(tmp_path: Path, flow: str) -> None:
    before, after = round_trip(lambda: lived_in(flow), tmp_path)
    assert before == after
    uses = (tmp_path / "A" / "uses.csv").read_text("utf-8")
    assert ",2.5,us_cup," in uses  # as it was typed
    assert "H03@2025-01-11..2025-01-18" in (tmp_path / "A" / "batches.csv").read_text("utf-8")


def test_what_was_taken_back_is_left_out_and_said(tmp_path: Path) -> None:
    def make() -> None:
        lived_in("average")
        workshop.close_books(to=None)
        ledger.reverse(posting=Posting.objects.filter(kind=Kind.GIVEN).get(), reason="not given")
        labour.take_back(line=Skin.objects.get(tag="H01").labour.get())

    with passing():
        make()
        saved = save(tmp_path / "said")
        assert saved.taken_back == 2
    assert "to a friend" not in (tmp_path / "said" / "uses.csv").read_text("utf-8")
    assert "Aino" not in (tmp_path / "said" / "labour.csv").read_text("utf-8")
    before, after = round_trip(make, tmp_path)
    for part in ("shelf", "skins", "stages", "batches", "stays"):
        assert before[part] == after[part]


def test_a_batch_whose_entries_were_all_taken_back_keeps_the_stays_of_its_skins(tmp_path: Path) -> None:
    def make() -> None:
        load(folders.write(tmp_path / "small"))
        workshop.close_books(to=None)
        for posting in Posting.objects.filter(use__batch__number="B2"):
            ledger.reverse(posting=posting, reason="never happened")

    before, after = round_trip(make, tmp_path)
    assert before["stays"] == after["stays"]
    assert "H04@2025-01-15..2025-02-01" in (tmp_path / "A" / "batches.csv").read_text("utf-8")
