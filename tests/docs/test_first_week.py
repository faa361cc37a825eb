"""docs/tutorial/first-week.md: the figures of the page come out when its week is written through the services."""

from __future__ import annotations

from decimal import Decimal

import pytest

from costing.make.batches import services as batches_services
from costing.make.batches.issues import services as batches
from costing.make.batches.requirements import selectors as batch_reads
from costing.make.batches.stays import selectors as stays_selectors
from costing.make.cost.rates import services as rates
from costing.make.finishing import services as articles
from costing.make.labour import services as labour
from costing.make.recipes import services as recipes
from costing.models import Batch
from costing.report.usage import report as usage_report
from costing.sell.pricing.channels import services as channels
from inventory.articles import services as things
from inventory.base import selectors as workshop
from inventory.deliveries import services as deliveries
from inventory.errors import Refused, ShortStock
from inventory.materials import services as materials
from inventory.models import Article, Material
from inventory.skins import services as skins
from inventory.suppliers import services as suppliers
from tests.docs import pages
from tests.docs.test_commands import explain
from workshop.answers import daily as answers
from workshop.reports import answers as reports

PAGE = pages.one_line(pages.text("tutorial/first-week.md"))


def shown(*lines: str) -> list[str]:
    """Those of the lines that the page does not show."""
    return [line for line in lines if line not in PAGE]


@pytest.fixture
def week(db: None) -> Article:
    """The week as the page tells it, up to the finished piece without its price."""
    rates.set_rates(wage_per_hour=Decimal(16), overhead_per_hour=Decimal(4), frame_wear=Decimal("1.52"))
    channels.save(name="Fair, card", fee_percent=Decimal("1.9"), fixed_cost=Decimal(0), usual=True)
    alum, salt = _deliver()
    _take_in(salt)
    batch = _mix(alum, salt)
    for task, minutes in (("lace", 35), ("soften", 25), ("soften", 40), ("soften", 35), ("soften", 45)):
        labour.log(on=workshop.today(), kind=task, minutes=Decimal(minutes), batch=batch)
    piece = things.Piece("H01", "rug", "alum_tawed", area=Decimal(8800), grade="A")
    return articles.finish(on=workshop.today(), tags=["H01"], pieces=[piece])[0]


def _deliver() -> tuple[Material, Material]:
    made = []
    for code, name, substance, pack in (("ALUMK", "Potash alum", "potash_alum", 2), ("SALT", "Salt, fine", "salt", 25)):
        details = materials.Details(name, "kg", substance, pack_quantity=Decimal(pack), lead_days=9, safety_days=3)
        made.append(materials.create(code=code, details=details))
    alum, salt = made
    deliveries.record(
        supplier=suppliers.named(name="Utuharju Chemicals"),
        on=workshop.today(),
        ref="P-001",
        carriage=Decimal("6.90"),
        lines=[
            deliveries.Line(salt, Decimal(1), Decimal(25), Decimal("11.50"), "kg"),
            deliveries.Line(alum, Decimal(1), Decimal(2), Decimal("11.60"), "kg"),
        ],
    )
    return alum, salt


def _take_in(salt: Material) -> None:
    today = workshop.today()
    skins.take_in(tag="H01", details=skins.Details("sheep", today, price=Decimal(12), green_weight=Decimal(4600)))
    salted = batches.Amount(salt, Decimal(2), "kg")
    batches.issue(batch=None, on=today, amounts=[salted], tags=["H01"])
    labour.log(on=today, task="flesh and salt", minutes=Decimal(110), tags=["H01"])


def _mix(alum: Material, salt: Material) -> Batch:
    version = recipes.write(
        code="R1",
        method="alum_tawed",
        litres_per_skin=Decimal(6),
        lines=[recipes.Line(alum, Decimal(80), "g", "per_litre"), recipes.Line(salt, Decimal(40), "g", "per_litre")],
    )
    batch = batches_services.plan(number="B1", version=version, start=workshop.today(), litres=Decimal(6), tags=["H01"])
    scaled = {amount.material.code: amount.planned for amount in batch_reads.amounts(stays_selectors.detailed().get())}
    assert shown(f"{scaled['ALUMK']:.0f} g of alum", f"{scaled['SALT']:.0f} g of salt") == []
    amounts = [batches.Amount(alum, Decimal(480), "g"), batches.Amount(salt, Decimal(240), "g")]
    with pytest.raises(ShortStock, match="make a smaller bath: the shelf allows"):
        batches.issue(
            batch=batch,
            on=workshop.today(),
            amounts=[batches.Amount(each.material, 10 * each.quantity, each.unit) for each in amounts],
        )
    batches.issue(batch=batch, on=workshop.today(), amounts=amounts)
    batch.refresh_from_db()
    return batch


def test_what_came_and_went_is_worth_what_the_page_says(week: Article) -> None:
    alum, salt = (Material.objects.get(code=code) for code in ("ALUMK", "SALT"))
    landed, mixed = (alum.movements.order_by("pk")[at].value for at in (0, 1))
    salt_landed, salted, salt_mixed = (row.value for row in salt.movements.order_by("pk"))
    assert (
        shown(
            f"the salt stands on the shelf at {salt_landed:.2f}, the alum at {landed:.2f}",
            f"That is {-salted:.2f}.",
            f"They cost {-mixed:.2f} and {-salt_mixed:.2f}.",
        )
        == []
    )


def test_the_piece_costs_and_earns_what_the_page_says(week: Article) -> None:
    cost, area, floors = answers.price_lines(answers.price_answer("H01", None))
    assert "88 dm2" in area
    assert shown(cost, floors) == []
    things.set_price(article=week, list_price=Decimal(140))
    *_, earned = answers.price_lines(answers.price_answer("H01", None))
    assert shown(earned) == []


@pytest.mark.thorough
def test_the_month_took_what_the_page_says(week: Article) -> None:
    found = reports.shape(usage_report.month(f"{workshop.today():%Y-%m}"))
    used = {line["material"]: line["used"] for line in found["lines"]}
    said = f"{used['ALUMK']} kg of alum, {used['SALT']} kg of salt, {found['used_value']} in money"
    assert shown(said) == []


def test_alum_alone_is_refused_as_the_page_says(db: None) -> None:
    with pytest.raises(Refused, match="say which: ") as refusal:
        materials.create(code="ALUM", details=materials.Details("Alum", "kg", "alum"))
    assert len(str(refusal.value).partition("say which: ")[2].split(", ")) == 6
    assert shown("there are six, and they differ") == []


@pytest.mark.thorough
@pytest.mark.slow
@pytest.mark.django_db
def test_every_field_of_a_load_is_explained() -> None:
    explain("load")
