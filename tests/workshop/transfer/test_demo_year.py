"""The demo year comes in from its folder with every golden figure right."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from costing.make.baths import selectors as baths
from costing.make.baths.chemistry import bath as vessel
from costing.make.cost import rules as rollup, selectors as costs
from costing.make.cost.rates import selectors as rates
from costing.make.foresight import selectors as batches
from costing.make.readings.drying import rules as drying
from costing.make.steps import schedule, selectors as steps
from costing.make.steps.agenda import selectors as dues
from costing.make.steps.plans import selectors as plans
from costing.models import Batch, Reading, StepMark
from inventory import units
from inventory.base import selectors as workshop
from inventory.models import Article, Kind, Material, Movement, Place, Skin

pytestmark = [pytest.mark.usefixtures("demo"), pytest.mark.slow]
DATA = Path(__file__).parent / "data"
SHARED = Path(__file__).parents[2] / "costing" / "make" / "cost" / "data"
KINDS = {"SALE": Kind.SOLD, "COUNT": Kind.COUNT}


def rows(file: Path) -> Iterator[dict[str, str]]:
    with file.open(encoding="utf-8", newline="") as source:
        yield from csv.DictReader(source)


def test_every_issue_takes_and_leaves_what_the_year_says() -> None:
    count = 0
    for row in rows(SHARED / "issues.csv"):
        movement = Movement.objects.select_related("material").get(
            material__code=row["item"],
            on=row["date"],
            kind=KINDS.get(row["to"], Kind.USE),
            **({"posting__use__batch__number": row["to"]} if row["to"].startswith("B") else {}),
        )
        unit = movement.material.unit
        found = (
            units.from_base(-movement.quantity, unit),
            -movement.value,
            units.from_base(movement.quantity_left, unit),
            movement.value_left,
        )
        assert found == tuple(Decimal(row[name]) for name in ("qty", "value", "qty_left", "value_left")), row
        count += 1
    assert Movement.objects.filter(quantity__lt=0).count() == count


def test_the_shelf_closes_as_counted() -> None:
    expected = {
        row["item"]: (Decimal(row["qty"]), Decimal(row["value"])) for row in rows(DATA / "closing_stock_expected.csv")
    }
    found = {row.code: (units.from_base(row.on_hand, row.unit), row.value) for row in Material.objects.all()}
    assert found == expected
    assert sum(value for _, value in found.values()) == Decimal("148.80")


def test_every_skin_cost_what_the_year_says() -> None:
    shares = costs.skin_shares(Skin.objects.all())
    for row in rows(SHARED / "skin_cost_expected.csv"):
        cost = rollup.rounded(shares[row["skin"]], rates.plain(), 2)
        assert (cost.book, cost.full) == (Decimal(row["book_cost"]), Decimal(row["full_cost"])), row
        assert cost.hours == Decimal(row["hours"])


def test_articles_keep_the_cost_of_their_skins() -> None:
    found = {
        article.number: (article.book_cost, article.cost.full) for article in Article.objects.select_related("cost")
    }
    assert found["H03"] == (Decimal("20.23"), Decimal("206.75"))
    assert found["CUSH1"] == (Decimal("9.29"), Decimal("119.29"))
    assert [found[f"H08-{piece}"][0] for piece in (1, 2, 3)] == [Decimal("12.62")] * 3
    assert Article.objects.get(number="H06").customers
    assert len(found) == 12


def test_skins_and_batches_stand_where_the_year_left_them() -> None:
    assert dict(Batch.objects.values_list("number", "state")) == {
        **dict.fromkeys(("B1", "B2", "B3", "B4"), "done"),
        "B5": "planned",
    }
    assert set(Skin.objects.filter(stage="raw").values_list("tag", flat=True)) == {"H13", "H14"}
    lost = Skin.objects.get(stage="lost")
    assert (lost.tag, lost.lost_on, lost.lost_reason) == ("H05", date(2025, 3, 18), "slipped")
    assert Place.objects.get(name="Savupirtti Craft Room").articles.filter(number="H03").exists()


def test_the_next_batch_is_short_of_alum_and_of_nothing_else() -> None:
    today = workshop.today()
    assert today == date(2025, 12, 31)
    wanted = {Material.objects.get(pk=pk): needs for pk, needs in batches.needs(today).items()}
    short = {
        material.code: needs for material, needs in wanted.items() if sum(n.quantity for n in needs) > material.on_hand
    }
    ((need,),) = short.values()
    assert list(short) == ["ALUMK"]
    assert (need.quantity, need.on) == (Decimal("1920.000"), date(2026, 1, 12))


def test_on_20_january_after_mixing_b1_stands_at_what_the_year_says() -> None:
    day = date(2025, 1, 20)
    (task,) = dues.tasks(day)
    assert (task.batch.number, task.place, task.due.words, task.due.due) == ("B1", "Taw tub", "Turn", date(2025, 1, 21))
    assert task.stake.whole == dues.risk_of(task.batch, day) == Decimal("193.52")


@pytest.mark.parametrize("number", ["B1", "B2", "B3", "B4"])
def test_a_batch_was_late_at_most_within_its_grace_and_no_repeat_was_missed(number: str) -> None:
    batch = Batch.objects.get(number=number)
    plan, marks = steps.as_steps(batch.version.steps.all(), batch.stays.count()), steps.standing_marks(batch)
    laid = schedule.lay_out(plan, batch.start, marks)
    assert all(each.ended for each in laid)
    day = batch.start
    while day < marks[-1].on:
        then = schedule.dues(plan, batch.start, [mark for mark in marks if mark.on <= day], day)
        assert [due for due in then if due.harms or (due.is_repeat and due.state != "coming")] == [], day
        day += timedelta(days=1)


def test_steps_end_on_the_days_on_which_their_work_was_logged() -> None:
    """But one: in B1 the coat of H02 was softened between the first and the last of the three."""
    for batch in Batch.objects.filter(number__in=["B1", "B2", "B3", "B4"]):
        logged = set(batch.labour.values_list("on", flat=True))
        ended = set(StepMark.objects.filter(batch=batch, kind="done").values_list("on", flat=True))
        repeated = set(StepMark.objects.filter(batch=batch, kind="repeat").values_list("on", flat=True))
        assert ended <= logged
        assert logged <= ended | repeated


def test_the_recipe_of_b1_plans_the_minutes_that_b1_took() -> None:
    batch = Batch.objects.get(number="B1")
    plan = steps.as_steps(batch.version.steps.all(), 3)
    logged = sum(line.minutes for line in batch.labour.all())
    assert schedule.hands_minutes_total(plan) == logged == 1530
    assert schedule.waiting_days(plan) == 41


def test_every_bath_fits_its_tub_with_the_room_its_froth_needs() -> None:
    for batch in Batch.objects.filter(litres__isnull=False).select_related("place", "version"):
        assert batch.litres is not None
        assert batch.place is not None
        assert batch.place.litres is not None
        litres, brim = units.from_base(batch.litres, "L"), units.from_base(batch.place.litres, "L")
        room = baths.bath(batch.version, litres).facts.headroom_litres
        assert vessel.fits(litres, brim, room) is None, batch.number


@pytest.mark.parametrize("on", [date(2025, 1, 19), date(2025, 4, 4), date(2025, 5, 11), date(2025, 12, 31)])
def test_nothing_wants_one_tub_or_frame_twice(on: date) -> None:
    assert dues.live(on)
    assert plans.clashes(on) == []


def test_the_weighings_point_to_the_days_on_which_the_skins_were_softened() -> None:
    softened = {
        row.skins.get().tag: row.on for row in Batch.objects.get(number="B1").labour.filter(task__startswith="soften")
    }
    assert len(softened) == 3
    for tag, on in softened.items():
        rows = Reading.objects.filter(skin__tag=tag, weight__isnull=False)
        window = drying.course([drying.Reading(row.at, row.weight) for row in rows if row.weight]).window
        assert window.begins.date() <= on <= window.ends.date(), tag


def test_the_next_batch_shows_when_its_day_nears() -> None:
    assert dues.tasks(workshop.today() - timedelta(days=1)) == []
    (task,) = dues.tasks(workshop.today())
    assert (task.batch.number, task.due.words, task.due.state) == ("B5", "Flesh and salt", "coming")
