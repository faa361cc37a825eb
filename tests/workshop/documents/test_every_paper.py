"""What holds of every paper of the demonstration year, and of the same workshop in a year of losses."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal
from io import BytesIO

import pypdf
import pytest

from costing.models import Batch, Customer, Fair, Job, Payment, Sale
from costing.report.cashbook import report as cashbook
from costing.report.usage import report as usage
from costing.report.valuation.stock_sheet import report as stock_sheet
from costing.report.year import report as year
from costing.sell.expenses import services as expenses
from inventory.foresight.shopping import selectors as shopping
from inventory.models import Article, Material, Place, Skin
from tests.workshop.documents import reading
from workshop.documents import printing
from workshop.reports import files, shopping as list_paper

pytestmark = [pytest.mark.usefixtures("demo"), pytest.mark.slow]
ON = date(2025, 12, 31)
WHOLE = (date(2025, 1, 1), ON)
# A hyphen where a minus belongs, two of them, one after a currency; a day in figures; each not within a name or number.
WRONG = re.compile(r"(?<![\w)])[-‐–]\d|[−-]{2}|\b[A-Z]{3} -\d|€ ?-|\b\d{4}-\d\d-\d\d\b")


def papers() -> Iterator[tuple[str, date | None, Callable[[], bytes]]]:
    """A paper of each kind: its name, its own day, how it is made."""
    sales = Sale.objects.exclude(kind=Sale.Kind.OPENING)
    for sale in sales:
        yield sale.number, sale.on, lambda sale=sale: printing.paper("sale", sale)  # type: ignore[misc]
    payment, sold = Payment.objects.first(), sales.get(number="INV-002")
    assert payment is not None
    yield "receipt", payment.on, lambda: printing.paper("payment", payment)
    yield "statement", ON, lambda: printing.paper("statement", Customer.objects.first(), period=WHOLE)
    yield "packing", None, lambda: printing.paper("packing", sold)
    for fair in Fair.objects.all():
        yield f"fair {fair}", fair.on, lambda fair=fair: printing.paper("fair", fair)  # type: ignore[misc]
    for place in Place.objects.filter(channel__isnull=False):
        for month in ("", "2025-09"):
            held = {"on": date(2025, 9, 30), "month": month}
            yield f"gallery {month}", None, lambda place=place, held=held: printing.paper("gallery", place, **held)  # type: ignore[misc]
    for job in Job.objects.all():
        yield job.number, None, lambda job=job: printing.paper("job", job)  # type: ignore[misc]
    for batch in Batch.objects.all():
        number, start = batch.number, batch.start
        yield f"card {number}", start, lambda number=number: printing.paper("card", number)  # type: ignore[misc]
    yield "stand-in", date(2025, 1, 20), lambda: printing.paper("stand-in", date(2025, 1, 20))
    yield "grid", None, lambda: printing.paper("grid", "1000x1450x100")
    yield "stocktake", None, lambda: printing.paper("stocktake")
    yield "results", ON, lambda: files.paper(year.at(2025))
    yield "month", date(2025, 1, 31), lambda: files.paper(usage.month("2025-01"))
    yield "month with losses", date(2025, 6, 30), lambda: files.paper(usage.month("2025-06"))
    yield "stock sheet", ON, lambda: files.paper(stock_sheet.at(ON))
    yield "cash book", ON, lambda: files.paper(cashbook.at(2025))
    yield "shopping list", ON, lambda: list_paper.paper(shopping.shopping_list(ON))
    article, skin, jar = Article.objects.earliest("pk"), Skin.objects.earliest("pk"), Material.objects.earliest("pk")
    names = {"care": article.number, "ticket": article.number, "tag": skin.tag, "bath": "B1"}
    names |= {"jar": jar.code, "shelf": "Chemical shelf"}
    for which, name in names.items():
        yield which, None, lambda which=which, name=name: printing.label(which, name)  # type: ignore[misc]


def look() -> dict[str, str]:
    """What is wrong, by the paper."""
    found = {}
    for name, day, draw in papers():
        paper = draw()
        reading.assert_told(paper)
        assert name in printing.LABELS or "H1" in [role for role, _ in reading.told(paper)], name
        said = reading.words(paper)
        if wrong := WRONG.findall(said):
            found[name] = f"{wrong} in {said}"
        written = (pypdf.PdfReader(BytesIO(paper)).metadata or {}).get("/CreationDate")
        assert day is None or written == f"D:{day:%Y%m%d}", name
    return found


@pytest.mark.thorough
def test_every_paper_can_be_heard_has_its_own_day_and_writes_a_minus_as_a_minus() -> None:
    assert not look()


@pytest.mark.thorough
def test_a_year_of_losses_writes_a_minus_as_a_minus_too() -> None:
    expenses.spend(on=date(2025, 6, 1), kind="rent", amount=Decimal("5000.00"))
    assert "−4" in reading.words(files.paper(year.at(2025)))
    assert not look()


def test_what_a_cell_gives_way_to_is_said_once_and_names_the_safety_data_sheet() -> None:
    for batch in Batch.objects.all():
        for day in printing.PAPERS["card"].read(batch.number).days:
            assert day.caution.count("data sheet comes first") <= 1, day.caution
            assert "supplier's data sheet" not in day.caution
    for tub in printing.PAPERS["stand-in"].read(date(2025, 1, 20)).tubs:
        assert " ".join(tub.cautions).count("data sheet comes first") <= 1, tub.cautions


def test_a_months_chart_stands_on_the_page_of_its_table() -> None:
    for month in ("2025-01", "2025-06"):
        first = reading.pages(files.paper(usage.month(month)))[0]
        assert "All materials, value in EUR" in first
        assert "Used, by value" in first


def test_results_leave_out_lines_of_nothing_and_have_no_second_sign_in_words() -> None:
    said = reading.words(files.paper(year.at(2025)))
    assert "In work" not in said
    assert "Finished, here 17.27" in said
    assert "Closing stock −205.82 Left the stock 219.07" in said


def test_the_last_page_of_a_batch_card_is_lined_to_its_end() -> None:
    card = printing.paper("card", "B5")
    last = len(reading.pages(card)) - 1
    lines = [path.bottom for path in reading.path_spots(card, last) if path.right - path.left > 100 * reading.MM]
    assert min(lines) < 35 * reading.MM


def test_a_batch_of_forty_days_has_its_card_on_three_sheets() -> None:
    assert len(reading.pages(printing.paper("card", "B5"))) == 3
