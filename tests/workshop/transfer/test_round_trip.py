"""What is saved loads into the same workshop: the same files again, byte for byte, and the same quantities, values and costs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import transaction

from costing.make.additions import services as additions
from costing.make.batches import services as batches
from costing.make.batches.issues import services as issues_services
from costing.make.batches.stays import services as stays_services
from costing.make.cost import selectors as costs
from costing.make.cost.rates import selectors as read_rates, services as rates
from costing.make.finishing import services as articles
from costing.make.frames import selectors as frames_read
from costing.make.frames.lacings import services as lacings
from costing.make.frames.making import services as making
from costing.make.labour import services as labour
from costing.make.labour.sessions import services as sessions
from costing.make.losses import services as losses
from costing.make.readings import services as readings
from costing.make.recipes import services as recipes
from costing.make.steps.agenda import selectors as dues
from costing.make.steps.marks import services as marks
from costing.models import Batch, BatchSkin, Frame, PlannedAmount, RecipeLine, RecipeStep, SkippedAddition, StepMark
from costing.sell.pricing.channels import services as channels
from inventory.articles.services import Piece
from inventory.base.accounting import services as workshop
from inventory.deliveries import services as deliveries
from inventory.deliveries.corrections import services as corrections
from inventory.ledger import services as ledger
from inventory.materials import services as materials
from inventory.models import Article, Kind, Lot, Material, Move, Movement, Place, Posting, Skin
from inventory.places import services as places
from inventory.skins import services as skins
from inventory.suppliers import services as suppliers
from tests import factories
from tests.workshop.transfer import folders
from workshop.transfer import manifest
from workshop.transfer.loading import load
from workshop.transfer.saving import Saved, save

pytestmark = [pytest.mark.django_db, pytest.mark.slow, pytest.mark.thorough]
DEMO = settings.BASE_DIR / "fixtures" / "demo"
LOOKED_AT = [date(2025, 1, 20), date(2025, 1, 29), date(2025, 6, 2), date(2025, 12, 31)]


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
        "places": sorted(Place.objects.values_list("name", "kind", "litres", "holds")),
        "due": {on: [asked(task) for task in dues.tasks(on)] for on in LOOKED_AT},
        "frames": [
            (each.frame.number, each.frame.broken_on, each.full, each.worn, each.left, each.lacings_left)
            for each in frames_read.accounts(Frame.objects.order_by("number")).values()
        ],
        "moves": sorted(map(str, Move.objects.filter(reversed_at=None).values_list("skin__tag", "on", "to__name"))),
        "rates": [read_rates.plain(on) for on in (date(1999, 1, 1), *LOOKED_AT)],
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


def asked(task: dues.Task) -> tuple[object, ...]:
    what = task.addition.words if task.addition else task.step and task.step.name
    return task.batch.number, what, task.place, task.due, task.nth, task.of, task.skins, task.stake.whole


def texts(folder: Path) -> dict[str, bytes]:
    """All but the manifest, which names the chain of the books: those that were loaded have one of their own."""
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.name != manifest.NAME}


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


@pytest.mark.thorough
def test_the_demo_year_comes_back_the_same(tmp_path: Path) -> None:
    before, after = round_trip(lambda: load(DEMO), tmp_path)
    assert before == after
    assert len(after["articles"]) == 12


@pytest.mark.thorough
def test_a_saved_folder_has_the_rows_of_the_folder_it_came_from(tmp_path: Path) -> None:
    with passing():
        load(DEMO)
        saved = save(tmp_path / "out")
    lines = {path.name: len(path.read_text("utf-8").splitlines()) - 1 for path in DEMO.glob("*.csv")}
    assert saved.rows.pop("suppliers.csv") == lines.pop("suppliers.csv") + 1  # the village shop, made by its name
    assert saved.rows.pop("papers.csv") == 10  # what issued papers say, which the demonstration leaves to the loading
    assert saved.rows.pop("receipts.csv") == lines["payments.csv"]
    del saved.rows["workshop.csv"], lines["workshop.csv"]
    assert saved.rows == lines


def _corrected(flow: str) -> None:
    workshop.set_up(cost_flow=flow)
    alum, soda = factories.material("ALUMK"), factories.material("SODA")
    for _ in range(2):
        came = factories.delivery(factories.line(alum, 1, 2, "10.00"), factories.line(soda), carriage=1)
    factories.put(factories.batch(), alum, 3)
    corrections.correct(delivery=came, on=factories.DAY, reason="entered twice")


@pytest.mark.parametrize("flow", ["average", "fifo"])
def test_a_corrected_delivery_comes_back_the_same(tmp_path: Path, flow: str) -> None:
    before, after = round_trip(lambda: _corrected(flow), tmp_path)
    assert before == after
    assert [moved[1] for moved in after["movements"]].count("correct") == 2


@pytest.mark.parametrize("flow", ["average", "fifo"])
def test_the_small_workshop_comes_back_the_same(tmp_path: Path, flow: str) -> None:
    folder = folders.write(tmp_path / "small")
    folders.change(folder, "workshop.csv", 4, "value", flow)
    before, after = round_trip(lambda: load(folder), tmp_path)
    assert before == after


def lived_in(flow: str) -> None:
    """A workshop kept in the pages: typed measures, late and back-dated entries, moves between batches, changed rates."""
    workshop.set_up(name="Lived in", postal_address="Lane 1\n99999 Utuharju", currency="EUR", cost_flow=flow)
    workshop.set_up(bath_unit="us_gallon", degrees="F")
    rates.set_rates(wage_per_hour=Decimal(16), overhead_per_hour=Decimal(4), frame_wear=Decimal("1.52"))
    channels.save(name="Fair", fee_percent=Decimal("1.9"), fixed_cost=Decimal(0), usual=True)
    tub = places.create(name="Tub", kind="tub", litres=Decimal("45.25"))
    frames = places.create(name="Frames", kind="frame", holds=4)
    salt = materials.create(
        code="SALT",
        details=materials.Details(
            *("Salt", "lb", "salt"),
            density_g_per_ml=Decimal("1.217"),
            weighed_in="us_cup",
            pack_quantity=Decimal("55.1"),
            sheet="Shop, red folder",
            sheet_on=day(1, 1),
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
            recipes.Line(salt, Decimal("2.5"), "us_cup", "per_litre", how="bath", day=0),
            recipes.Line(salt, Decimal(40), "%", "percent_of_weight", "cure", 3),
            recipes.Line(oil, Decimal("0.5"), "us_fluid_ounce", "per_us_gallon", "bath"),
        ],
        steps=[
            recipes.Step(
                "Cure", "Soak and wash", lasts_days=9, grace_days=14, every_days=1, repeat="Drain", minutes=20
            ),
            recipes.Step("Bath", lasts_days=11, every_days=1, repeat="Turn", repeat_minutes=6, uses="tub"),
            recipes.Step("Frame", wait_days=1, lasts_days=8, minutes_per_skin=35, uses="frame", caution="Mind, edges"),
        ],
    )
    recipes.write(code="R2", method="bark", lines=[], steps=[recipes.Step("Scrape and dry", lasts_days=9)])
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
        number="B1",
        version=bath,
        start=day(1, 11),
        litres=Decimal("17.3"),
        tags=tags[:4],
        share_by="weight",
        place=tub,
        frames=frames,
    )
    second = batches.plan(number="B2", version=bath, start=day(1, 20))
    batches.plan(number="B3", version=bath, start=day(6, 1), planned_skins=2, tags=tags[4:], note="planned")

    def put(batch: Batch | None, on: date, of: Material, quantity: str, unit: str, *named: str) -> object:
        amounts = [issues_services.Amount(of, Decimal(quantity), unit, Decimal("100.5") if named else None)]
        return issues_services.issue(
            batch=batch,
            on=on,
            amounts=amounts,
            tags=named,
            reason="bath" if named else "",
            share_by="weight" if named else "",
        )

    steps = {step.name: step for step in RecipeStep.objects.filter(version=bath)}
    marks.log(batch=first, step=steps["Cure"], kind="repeat", on=day(1, 13), note="drained twice")
    salts = list(bath.lines.filter(step=steps["Cure"]))
    additions.reverse(skipped=additions.skip(batch=first, line=salts[0], reason="not so", on=day(1, 13)))
    additions.skip(batch=first, line=salts[0], reason="salted at the farm", on=day(1, 14))
    cured = {"kind": "done", "on": day(1, 20), "without": "was salted"}
    marks.log(batch=first, step=steps["Cure"], minutes=Decimal("24.5"), **cured)
    marks.log(batch=first, step=steps["Bath"], kind="repeat", on=day(1, 21), minutes=Decimal(6))
    marks.reverse(mark=marks.log(batch=first, step=steps["Bath"], kind="repeat", on=day(1, 22)))
    marks.log(batch=second, step=steps["Cure"], kind="skipped", on=day(1, 20), note="came cured")
    marks.log(batch=second, step=steps["Bath"], kind="repeat", on=day(1, 20))
    at = datetime(2025, 1, 21, 8, 30, 15, 250, tzinfo=UTC)
    readings.note(batch=first, at=at, ph=Decimal("3.45"), celsius=Decimal("-0.5"), note="ice, 2 mm")
    readings.note(tags=["H01"], at=at, weight=Decimal("4100.5"))
    readings.note(batch=first, tags=["H02"], at=at.replace(month=2), note="comb, later")
    readings.reverse(reading=readings.note(batch=first, ph=Decimal(7)))
    put(first, day(1, 11), salt, "3.333", "kg")
    put(first, day(1, 11), salt, "2.5", "us_cup", "H02")
    put(None, day(1, 10), salt, "0.7", "lb", "H05")
    stays_services.leave(batch=first, skin=Skin.objects.get(tag="H03"), on=day(1, 18))
    stays_services.join(batch=second, tags=["H03"], on=day(1, 22))
    put(second, day(1, 23), oil, "80", "mL", "H03")
    labour.log(on=day(1, 12), task="flesh", minutes=Decimal("95.5"), batch=first)
    labour.log(on=day(1, 24), task="lace", minutes=Decimal(40), batch=second, laced=False)
    labour.log(
        on=day(1, 30), task="soften", minutes=Decimal(60), tags=["H01", "H02"], who="Aino", paid=Decimal("15.01")
    )
    with_frames(salt, frames)
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
    rates.set_rates(since=day(6, 1), overhead_per_hour=Decimal(5))
    articles.finish(
        on=day(3, 20), tags=["H02", "H03"], pieces=[Piece("A4", "cushion", "bark", list_price=Decimal(95), grade="A")]
    )
    # Late: after the skins were finished.
    labour.log(on=day(4, 1), task="comb", minutes=Decimal(11), batch=first)
    put(first, day(4, 2), salt, "0.05", "kg")
    ledger.count(on=day(5, 1), material=oil, counted=Decimal(Material.objects.get(code="OIL").on_hand + 7))
    workshop.close_books(to=day(3, 31))
    workshop.pin_today(on=day(12, 31))


def with_frames(salt: Material, racks: Place) -> None:
    """One made of the shelf, repaired and laced three times; one bought, and broken; a repair that was reversed."""
    first = making.build(
        number="F1",
        on=day(1, 20),
        lacings=3,
        minutes=Decimal(12),
        amounts=[issues_services.Amount(salt, Decimal("0.25"), "kg")],
        place=racks,
    )
    making.build(number="F2", on=day(1, 1), lacings=12, cost=Decimal("18.24"), note="90 × 70 cm")
    making.repair(
        frame=first, on=day(1, 26), what="a rail", amounts=[issues_services.Amount(salt, Decimal(90), "g")], lacings=2
    )
    again = making.repair(frame=first, on=day(1, 27), what="not so", minutes=Decimal(30))
    making.reverse(repair=again, reason="not so")
    laced = labour.log(on=day(1, 24), kind="lace", minutes=Decimal(40), tags=["H01", "H02"])
    lacings.name(line=laced, on_frames={"H01": "F1", "H02": "F2"})
    for lacing in laced.lacings.all():
        lacings.take_off(lacing=lacing, on=day(1, 28))
    lacings.name(
        line=labour.log(on=day(1, 29), kind="lace", minutes=Decimal(20), tags=["H02"]), on_frames={"H02": "F1"}
    )
    making.write_off(frame=Frame.objects.get(number="F2"), on=day(2, 1), why="fell")


@pytest.mark.thorough
@pytest.mark.parametrize("flow", ["average", "fifo"])
def test_a_workshop_that_was_lived_in_comes_back_the_same(tmp_path: Path, flow: str) -> None:
    before, after = round_trip(lambda: lived_in(flow), tmp_path)
    assert before == after
    uses = (tmp_path / "A" / "uses.csv").read_text("utf-8")
    assert ",2.5,us_cup," in uses  # as it was typed
    assert "\nR2,1,,bark,,,,,,,,,\n" in (tmp_path / "A" / "recipes.csv").read_text("utf-8")  # steps alone
    assert "H03@2025-01-11..2025-01-18" in (tmp_path / "A" / "batches.csv").read_text("utf-8")


def test_what_was_taken_back_is_left_out_and_said(tmp_path: Path) -> None:
    def make() -> None:
        lived_in("average")
        workshop.close_books(to=None, reason="one bill more")
        ledger.reverse(posting=Posting.objects.filter(kind=Kind.GIVEN).get(), reason="not given")
        labour.reverse(line=Skin.objects.get(tag="H01").labour.get(task="soften"))
        marks.reverse(mark=StepMark.objects.get(step__name="Bath", labour__isnull=False))

    with passing():
        make()
        saved = save(tmp_path / "said")
        # Of each a posting, a line of work, a turn that was only ticked, a reading, a skip, a repair; and a turn with its minutes.
        assert saved.taken_back == 7
    assert "to a friend" not in (tmp_path / "said" / "uses.csv").read_text("utf-8")
    assert "Aino" not in (tmp_path / "said" / "labour.csv").read_text("utf-8")
    before, after = round_trip(make, tmp_path)
    for part in ("shelf", "skins", "stages", "batches", "stays"):
        assert before[part] == after[part]


def test_a_batch_whose_entries_were_all_taken_back_keeps_the_stays_of_its_skins(tmp_path: Path) -> None:
    def make() -> None:
        load(folders.write(tmp_path / "small"))
        workshop.close_books(to=None, reason="one bill more")
        for posting in Posting.objects.filter(use__batch__number="B2"):
            ledger.reverse(posting=posting, reason="never happened")
        marks.reverse(mark=StepMark.objects.get(batch__number="B2"))

    before, after = round_trip(make, tmp_path)
    assert before["stays"] == after["stays"]
    assert "H04@2025-01-15..2025-02-01" in (tmp_path / "A" / "batches.csv").read_text("utf-8")


def test_a_batch_in_which_only_a_step_was_logged_comes_back_in_work(tmp_path: Path) -> None:
    def make() -> None:
        lived_in("average")
        third = Batch.objects.get(number="B3")
        marks.log(batch=third, step=third.version.steps.get(name="Cure"), kind="repeat", on=day(6, 2))

    before, after = round_trip(make, tmp_path)
    assert before == after
    assert ("B3", "in_work") in [row[:2] for row in after["batches"]]


def test_a_step_and_its_minutes_come_back_as_two_entries(tmp_path: Path) -> None:
    def make() -> None:
        lived_in("average")
        assert StepMark.objects.filter(labour__isnull=False).count() == 2

    before, after = round_trip(make, tmp_path)
    assert before["skins"] == after["skins"]
    with passing():
        load(tmp_path / "A")
        assert StepMark.objects.filter(reversed_at__isnull=True).count() == 5
        assert not StepMark.objects.filter(labour__isnull=False).exists()
        batch = Batch.objects.get(number="B1")
        assert sorted(batch.labour.values_list("task", "minutes"))[:2] == [
            ("Soak and wash", Decimal("24.5")),
            ("Turn", Decimal(6)),
        ]


def test_a_stopped_session_is_its_minutes_and_a_running_one_is_said_and_left_out(tmp_path: Path) -> None:
    with passing():
        lived_in("average")
        workshop.close_books(to=None, reason="one bill more")
        Skin.objects.filter(tag="H05").update(stage="in_work")
        sessions.start(tags=["H05"], task="soften", request_key="stopped")
        sessions.stop(key="stopped", minutes=Decimal(20))
        lines = len(_labour(save(tmp_path / "stopped")))
        sessions.start(tags=["H05"], task="soften", request_key="runs")
        saved = save(tmp_path / "running")
    assert saved.running == 1
    assert len(_labour(saved)) == lines
    assert "H05,soften,20," in (tmp_path / "stopped" / "labour.csv").read_text("utf-8")


def _labour(saved: Saved) -> list[str]:
    return (Path(saved.folder) / "labour.csv").read_text("utf-8").splitlines()


@pytest.mark.parametrize(
    ("cells", "tied"),
    [
        ({"step": "bath", "day": ""}, ("Bath", 1, "")),
        ({"step": "", "day": "4"}, ("Bath", 4, "")),
        ({"step": "bath, dissolved", "day": "3"}, ("Bath", 3, "dissolved")),
        ({"step": "into the tub", "day": "12", "how": "slowly"}, ("Frame", 12, "into the tub, slowly")),
    ],
    ids=["its step", "its day alone", "words of an older folder", "words that name no step"],
)
def test_a_line_is_tied_to_the_step_that_it_names_or_that_runs_on_its_day(
    tmp_path: Path, cells: dict[str, str], tied: tuple[str, int, str]
) -> None:
    folder = folders.write(tmp_path / "small")
    for name, value in cells.items():
        folders.change(folder, "recipes.csv", 2, name, value)
    load(folder)
    line = RecipeLine.objects.get(version__recipe__code="R1", version__number=1, position=1)
    assert (line.step and line.step.name, line.day, line.how) == tied


def test_what_was_put_in_for_a_line_and_what_was_skipped_come_back(tmp_path: Path) -> None:
    files = folders.FULL | {"uses.csv": folders.widened(folders.FULL["uses.csv"], 2, line="1")}
    with passing():
        load(folders.write(tmp_path / "small", files))
        save(tmp_path / "saved")
    with passing():
        load(tmp_path / "saved")
        planned = PlannedAmount.objects.exclude(line=None).get()
        assert planned.line
        assert (planned.line.position, planned.quantity) == (1, None)
        skipped = SkippedAddition.objects.get()
        assert (skipped.batch.number, skipped.line.position, skipped.reason) == ("B2", 1, "came salted")
