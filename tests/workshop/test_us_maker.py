"""A maker in the United States reads no metric measure, no foreign date and no foreign sum: on any page, on any paper.

The invented half-year of `tests/standards/half_years/us`, with a batch in work, readings, a fair and a reminder beside it.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO
from urllib.parse import parse_qsl, urldefrag, urljoin, urlsplit

import pypdf
import pytest
from django.conf import settings
from django.db import transaction
from django.test import Client
from django.urls import resolve
from django.utils import timezone
from pytest_django import DjangoDbBlocker

from costing.make.batches.issues import services as issues
from costing.make.finishing.forms import told
from costing.make.finishing.rules import Cut, split
from costing.make.readings import services as readings
from costing.make.steps.marks import services as steps
from costing.models import Batch, Fair, RecipeVersion, Sale
from costing.sell.debts.reminders import services as reminders
from costing.sell.fairs import services as fairs
from inventory import formats, units
from inventory.base import measures
from inventory.base.accounting import services as workshop
from inventory.base.labels import services as sheets
from inventory.errors import Refused
from inventory.materials import services as materials
from inventory.models import Article, Material, Place
from tests import factories
from tests.inventory.pages import signed_in
from workshop import transfer

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("type_is_cut")]

HALF_YEAR = settings.BASE_DIR / "tests" / "standards" / "half_years" / "us"
LETTER = (612, 792)

# A figure and a measure of the metric system, or the measure's name. An area stands both ways (decision 0054): in square feet
# and, in brackets behind them, in square decimetres.
SECOND_MEASURE = re.compile(r"sq ft \([\d.,]+ dm²\)|a sq ft \$[\d.,]+ a dm²")
METRIC = re.compile(
    r"(?:(?<=\d)|(?<=[\d_] )|\bper |/ ?|\b(?:in|of|each|a) )(?:kg|g|mg|l|L|ml|mL|mm|cm|m|km|dm2|cm2|°C)(?![\w'’.]|-\w)"
    r"|°C|[cd]?m²|[cd]m2"
    r"|\b(?:kilo|milli)?(?:litres?|liters?|grams?|grammes?)\b|\b(?:kilo|milli|centi|deci)?met(?:re|er)s?\b|\bkilos?\b|\bCelsius\b"
)
# A sum with its sign behind it, one without marks of thousands, one with the currency's code; a day with its month behind it,
# an ISO day, an ISO month. The heading of a column names the currency (“Net, USD”), and so does that of a table.
FOREIGN_SUM = re.compile(
    r"\d ?\$(?!\d)|\$ \d+\.\d\d(?! %)|\$\d{4}|\b\d+,\d{2}\b(?!\d)|€|£|(?<!, )(?<!in )USD \d|\d USD\b"
)
MONTHS = "|".join(f"{month[:3]}(?:{month[3:]})?" for month in formats.MONTHS)
FOREIGN_DAY = re.compile(
    rf"(?<![\d.,$])\b\d{{1,2}} (?:{MONTHS})\b(?! \d{{1,2}},)"
    r"|\b\d{4}-\d{2}(?:-\d{2})?\b|\b\d{1,2}\.\d{1,2}\.\d{4}"
)
FOREIGN = {"metric": METRIC, "sum": FOREIGN_SUM, "day": FOREIGN_DAY}

# Where others' words stand, and where every measure, sum or day is offered to choose from.
CHOSEN_FROM = {"look", "setup_where", "help"}


@pytest.fixture(scope="module")
def half_year(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """Written once for the module; each test has a transaction of its own within."""
    with django_db_blocker.unblock(), transaction.atomic():
        _write()
        yield
        transaction.set_rollback(True)


@pytest.fixture
def maker(half_year: None, db: None) -> None:
    """The maker's workshop."""


def _write() -> None:
    """The half-year, and what is open in August: a batch in work, what was read of it, a fair, an invoice not paid."""
    transfer.load(HALF_YEAR)
    workshop.pin_today(on=date(2026, 8, 3))
    tub, stall = Place.objects.get(name="Tub"), Place.objects.get(name="Stall box")
    version = RecipeVersion.objects.get()
    batch = factories.batch(
        "B4", version=version, start=date(2026, 7, 20), tags=["D07"], place=tub, litres=Decimal("11.356235")
    )
    salt, alum = Material.objects.get(code="SALT"), Material.objects.get(code="ALUM")
    put_in = [issues.Amount(alum, Decimal("2.5"), "lb"), issues.Amount(salt, Decimal("1.5"), "lb")]
    issues.issue(batch=batch, on=date(2026, 7, 28), amounts=put_in)
    steps.log(batch=batch, step=version.steps.first(), kind="done", on=date(2026, 7, 21), minutes=Decimal(70))
    at = timezone.make_aware(datetime(2026, 7, 30, 9, 30))  # noqa: DTZ001 - of the workshop
    readings.note(batch=batch, at=at, ph=Decimal("3.9"), celsius=Decimal(20), note="clear")
    readings.note(tags=["D07"], at=at, weight=Decimal("3628.739"))
    materials.weigh(material=alum, measure=Decimal(1), unit="us_cup", grams=Decimal(240))
    factories.batch(
        "B5", version=version, start=date(2026, 8, 20), planned_skins=3, place=tub, litres=Decimal("34.068706")
    )
    fair = fairs.plan(name="Alder Falls fair", on=date(2026, 8, 15), place=stall)
    fairs.pack(fair=fair, articles=list(Article.objects.filter(number="D05-2")), on=date(2026, 8, 1))
    inch = Decimal("25.4")
    sheets.create(
        name="Bench",
        paper="letter",
        columns=2,
        rows=5,
        width=4 * inch,
        height=2 * inch,
        top=inch / 2,
        offset_x=Decimal("1.588"),
    )
    reminders.remind(sale=Sale.objects.get(number="INV-003"), on=date(2026, 8, 3), tone="friendly")


ASKED = ("/recipes/T1/bath/?litres=9&celsius=68", "/recipes/T1/bath/?weight=8&float_ratio=2&vessel=&celsius=")
# Cards to cut out are printed at a size of their own, or laid on the maker's sheet.
LABELS = {
    "label_care",
    "label_care_card",
    "label_hang_tag",
    "label_ticket",
    "skin_tag",
    "bath_label",
    "frame_tag",
    "frame_label",
    "jar_label",
    "shelf_label",
}
ENDINGS = ("pdf", "csv", "xlsx")
Kind = tuple[str, ...]


def kind(address: str) -> Kind:
    """Addresses of one kind share a view, the names of what is asked and the ending of a file."""
    parts = urlsplit(address)
    found = resolve(parts.path)
    return (
        found.url_name or "",
        *sorted(str(value) for value in found.captured_kwargs.values() if value in ENDINGS),
        *sorted(key for key, _ in parse_qsl(parts.query)),
    )


def reached(client: Client, *begin: str) -> Iterator[tuple[str, Kind, bytes, str]]:
    """One page or file of every kind that a link leads to: its address, its kind, what it holds and of which type it is."""
    waiting, met = list(begin), {kind(address) for address in begin}
    while waiting:
        here = waiting.pop(0)
        answer = client.get(here)
        assert answer.status_code in {200, 302}, f"{here} answered {answer.status_code}"
        content = b"".join(answer.streaming_content) if answer.streaming else answer.content
        yield here, kind(here), content, answer.get("Content-Type", "")
        if not answer.get("Content-Type", "").startswith("text/html"):
            continue
        for link in re.findall(r'<a\b[^>]*?href="([^"]+)"', content.decode()):
            there = urldefrag(urljoin(here, html.unescape(link))).url
            if there.startswith("/"):
                sort = kind(there)
                if sort not in met:
                    met.add(sort)
                    waiting.append(there)


def read(page: str) -> str:
    """What a reader sees and hears of a page, with what stands in its boxes and drawings."""
    shown = re.sub(r"<(style|script|datalist)\b.*?</\1>", " ", page, flags=re.DOTALL)
    shown = re.sub(r"<option\b(?![^>]*\bselected)[^>]*>[^<]*", " ", shown)
    said = re.findall(r'(?:aria-label|title|placeholder|alt)="([^"]*)"', shown)
    said += re.findall(r'<input\b(?![^>]*type="(?:hidden|date|month|radio|checkbox)")[^>]*\bvalue="([^"]*)"', shown)
    return " ".join(
        html.unescape(" | ".join([re.sub(r"<[^>]+>", " ", shown.replace("</text>", " | ")), *said])).split()
    )


def surprises(text: str) -> list[str]:
    plain = SECOND_MEASURE.sub("sq ft", " ".join(text.split()))
    return [
        f"{sort}: …{plain[max(0, found.start() - 40) : found.end() + 20]}…"
        for sort, pattern in FOREIGN.items()
        for found in pattern.finditer(plain)
    ]


@pytest.mark.thorough
@pytest.mark.slow
def test_nothing_foreign_is_read_on_any_page_or_paper(maker: None) -> None:
    wrong: dict[str, list[str]] = {}
    papers = 0
    client = signed_in()
    statement = f"/customers/{Sale.objects.get(number='INV-003').customer_id}/statement/"
    for address, (view, *_), content, sort in reached(client, "/", *ASKED, statement):
        if sort.startswith("text/html") and view not in CHOSEN_FROM:
            if found := surprises(read(content.decode())):
                wrong[address] = found
        elif sort == "application/pdf":
            papers += 1
            if view in LABELS:
                content = client.get(f"{address}?sheet=own").content
            pages = pypdf.PdfReader(BytesIO(content)).pages
            said = " | ".join(line for page in pages for line in page.extract_text().splitlines())
            found = [] if "language=" in address else surprises(said)  # another language has its own days
            sizes = {tuple(sorted((round(page.mediabox.width), round(page.mediabox.height)))) for page in pages}
            if sizes != {LETTER}:
                found.append(f"sheets of {sizes}")
            if found:
                wrong[address] = found
    assert wrong == {}
    assert papers > 10


def test_a_float_is_told_in_gallons_to_the_pound(maker: None) -> None:
    page = read(signed_in().get("/recipes/T1/bath/?weight=8&float_ratio=2").content.decode())
    assert "16 US gal at 68 °F" in page


def test_an_outline_comes_in_the_makers_measures(maker: None) -> None:
    page = signed_in().get("/recipes/new/?outline=alum-bath").content.decode()
    assert '<option value="per_us_gallon" selected>' in page
    assert "unit=lb" in page
    assert "unit=kg" not in page


def test_what_the_buyer_pays_and_the_maker_keeps_is_the_same_everywhere(maker: None) -> None:
    """D05-2 at 125.00: 7.8125 of tax at 6.25 %; the stall's card takes 2.6 % of 132.81 and 0.10 (3.55), and 121.45 stay."""
    client = signed_in()
    pages = {
        "piece": read(client.get("/articles/D05-2/").content.decode()),
        "fair": read(client.get(f"/fairs/{Fair.objects.get().pk}/sell/?piece=D05-2").content.decode()),
    }
    for name, page in pages.items():
        assert "$132.81" in page, name
        assert "$121.45" in page, name
    ticket = pypdf.PdfReader(BytesIO(client.get("/articles/D05-2/ticket.pdf").content)).pages[0].extract_text()
    assert "$125.00 + tax" in ticket


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("pounds", [("7.9",), ("7.99", "8.2"), ("8",), ("6.5",), ("6.5", "5.6"), ("7.999",)])
def test_a_drying_skin_is_told_in_pounds(maker: None, pounds: tuple[str, ...]) -> None:
    """It weighed 8 lb on the 30th of July; then less each day, or no less, or more."""
    for day, weight in enumerate(pounds):
        at = timezone.make_aware(datetime(2026, 7, 31 - len(pounds) + day + 1, 18, 0))  # noqa: DTZ001 - of the workshop
        readings.note(tags=["D07"], at=at, weight=units.to_base(Decimal(weight), "lb", "g"))
    client = signed_in()
    for address in ("/skins/D07/", "/batches/B4/"):
        assert surprises(read(client.get(address).content.decode())) == []


def test_what_cannot_be_read_off_a_thermometer_is_refused_in_its_degrees(maker: None) -> None:
    with pytest.raises(Refused, match=r"A temperature of 230 °F cannot be: it lies between −4 °F and 176 °F"):
        readings.note(batch=Batch.objects.get(number="B4"), celsius=Decimal(110))


def test_pieces_larger_than_the_skin_are_refused_in_square_feet(maker: None) -> None:
    assert measures.own_area(Decimal("9290.304")) == "10 sq ft"
    with pytest.raises(Refused, match=r"add up to an area of 11 sq ft, but D07 measures 10 sq ft"):
        split("D07", [Cut("rug", Decimal("102.193344"))], area=Decimal("92.90304"), said=told)
