"""Papers made from records: what they say is what the records hold, and what is missing is refused."""

from __future__ import annotations

from decimal import Decimal

import pytest

from costing.report.usage import report as usage_report
from inventory import units
from inventory.articles.models import Method
from inventory.base.accounting import services as service
from inventory.errors import Refused
from inventory.models import Article, Workshop
from inventory.report import Form, record
from tests.workshop.documents import reading
from workshop.documents import printing
from workshop.documents.records import articles
from workshop.reports import answers, files

pytestmark = pytest.mark.usefixtures("demo", "type_is_cut")

# Words of each method's card that no other card has.
CARE = {"H03": "water takes the alum out", "H07": "Bark tan stays in", "H09": "No bleach, softener or solvent"}


@pytest.mark.parametrize("number", CARE)
def test_a_care_label_tells_of_the_articles_own_method(number: str) -> None:
    said = reading.words(printing.label("care", number))
    assert [other for other, words in CARE.items() if words in said] == [number]


def test_a_care_label_carries_article_batch_area_and_maker() -> None:
    label = articles.care_label("h03")
    assert (label.article, label.kind, label.species, label.batch) == ("H03", "rug", ("sheep",), "B1")
    assert (label.headline, label.hair, label.use, label.origin) == ("Sheepskin rug", "on", "rug", "Finland")
    said = reading.words(printing.label("care", "H03"))
    for words in ("H03", "about 101 dm² (10.87 sq ft)", "batch B1", "Routamo Skins, K. Routamo", "Kanervapolku 7"):
        assert words in said


def test_an_article_of_two_skins_names_their_one_batch_once() -> None:
    label = articles.care_label("CUSH1")
    assert (label.species, label.batch) == (("rabbit",), "B4")


@pytest.mark.parametrize("method", Method.values)
def test_every_method_of_the_records_has_a_care_card(method: str) -> None:
    Article.objects.filter(number="H03").update(method=method)
    paper = printing.label("care", "H03")
    reading.assert_printable(paper)


@pytest.mark.thorough
@pytest.mark.slow
def test_every_article_of_the_year_can_be_labelled_and_priced() -> None:
    for article in Article.objects.all():
        assert reading.barcodes(printing.label("care", article.number)) == [article.number]
        if article.list_price is not None:
            said = reading.words(printing.label("ticket", article.number))
            assert f"{article.list_price:.2f} €" in said.replace("\u00a0", " ")


def test_a_label_is_printed_in_one_language_or_two() -> None:
    for paper in ("care", "care-card", "hang-tag"):
        said = reading.words(printing.label(paper, "H03", languages=["sv", "fi"]))
        assert "Tvätta eller blötlägg det aldrig" in said
        assert "Älä koskaan pese" in said
    assert "Lammas · Karvallinen, alunaparkittu" in reading.words(printing.label("ticket", "H03", languages=["fi"]))
    for paper, name, languages, most in (
        ("care", "H03", ["en", "fi", "sv"], "in two languages at most; 3 were asked for"),
        ("ticket", "H03", ["en", "fi"], "in one language; 2 were asked for"),
    ):
        with pytest.raises(Refused, match=most):
            printing.label(paper, name, languages=languages)
    with pytest.raises(Refused, match="no words in 'tlh'"):
        printing.label("care", "H03", languages=["tlh"])


def test_a_ticket_says_the_currency_once() -> None:
    said = reading.words(printing.label("ticket", "H03")).replace("\u00a0", " ")
    assert "185.00 €" in said
    assert "EUR" not in said


def test_a_currency_without_a_sign_is_said_by_its_code() -> None:
    Workshop.objects.update(currency="ISK")
    ticket = articles.price_ticket("H03")
    assert ticket.price.count("ISK") == 1


def test_a_ticket_without_a_list_price_is_refused() -> None:
    Article.objects.filter(number="H03").update(list_price=None)
    with pytest.raises(Refused, match="H03 has no list price yet"):
        printing.label("ticket", "H03")


def test_a_ticket_for_a_customers_own_skin_is_refused() -> None:
    with pytest.raises(Refused, match="H06 is a customer's own skin and not for sale"):
        printing.label("ticket", "H06")


@pytest.mark.parametrize("missing", ["postal_address", "electronic_address"])
@pytest.mark.parametrize("paper", ["care", "ticket"])
def test_a_label_without_the_makers_addresses_is_refused(paper: str, missing: str) -> None:
    service.set_up(**{missing: ""})
    with pytest.raises(Refused, match="postal and electronic address"):
        printing.label(paper, "H03")


def test_an_unknown_paper_or_article_is_refused() -> None:
    with pytest.raises(Refused, match="no label 'poster'"):
        printing.label("poster", "H03")
    with pytest.raises(Refused, match="no article H99"):
        printing.label("care", "H99")


def month_pdf(month: str) -> bytes:
    return files.paper(usage_report.month(month))


def test_the_same_records_print_the_same_bytes() -> None:
    assert printing.label("care", "H03") == printing.label("care", "H03")
    assert month_pdf("2025-01") == month_pdf("2025-01")


@pytest.mark.parametrize("month", ["2025-01", "2025-05", "2025-12"])
def test_the_month_report_says_what_the_command_says(month: str) -> None:
    report = usage_report.month(month)
    answer, table = answers.shape(report), report.table("lines")
    paper = {column.key for column in table.of(Form.PAPER)}
    assert {"opening", "used", "closing", "used_value"} <= paper, "the paper has the columns that the command tells"
    assert [record(table.of(Form.JSON), row, 2) for row in table.rows] == answer["lines"]
    assert report.table("by_batch").sums()["value"] == Decimal(answer["used_value"])


def test_what_a_count_took_stands_under_other_with_its_sign() -> None:
    rows = {row["material"]: row for row in usage_report.month("2025-12").table("lines").rows}
    changed = [units.from_base(rows[code]["change"], str(rows[code]["unit"])) for code in ("SALT", "BICARB")]
    assert changed == [Decimal("-4"), Decimal("-0.05")]
    assert rows["SALT"]["change_value"] < 0


@pytest.mark.thorough
def test_the_month_report_is_printable_on_every_page() -> None:
    paper = month_pdf("2025-05")
    assert len(reading.pages(paper)) == 2
    reading.assert_printable(paper)


def test_an_empty_month_is_still_a_report() -> None:
    assert "April 1999" in reading.words(month_pdf("1999-04"))
