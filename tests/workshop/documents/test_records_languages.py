"""In which language a paper is: the one asked for, else its customer's; what an entry of an account is called in it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from types import SimpleNamespace

import pytest

from costing.models import Reminder
from costing.sell.debts.reminders import services as reminders
from costing.sell.debts.statements import selectors as statements
from inventory.base import selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.errors import Refused
from inventory.models import Workshop
from tests import factories as make
from tests.costing.sell.debts.test_statements import busy
from tests.factories import DAY, days_from, item
from tests.inventory.pages import signed_in
from tests.workshop.documents import reading
from workshop.documents import printing
from workshop.documents.records import batch_cards, debts, goods, jobs, stock
from workshop.documents.words import selectors as words_read
from workshop.documents.words.rules import LANGUAGES, Words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("type_is_cut")]
YEAR = date(2025, 1, 1), date(2025, 12, 31)
day = days_from(DAY)


def test_the_language_asked_for_goes_before_the_customers_and_english_comes_last() -> None:
    finn = SimpleNamespace(language="fi")
    assert [words_read.for_customer(*asked).language for asked in ((finn, "de"), (finn, ""), (None, ""))] == [
        "de",
        "fi",
        "en",
    ]
    with pytest.raises(Refused, match="There are no words in 'xx'"):
        words_read.for_customer(finn, "xx")


def test_an_entry_of_an_account_is_called_in_english_as_its_page_calls_it() -> None:
    who = busy()
    rows = statements.account(who, *YEAR).rows
    assert [row.what for row in debts.statement(who, period=YEAR).rows] == [row.what for row in rows]


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("language", [language for language in LANGUAGES if language != "en"])
def test_an_entry_of_an_account_is_called_in_the_customers_language(language: str) -> None:
    who = busy()
    english = {row.what for row in debts.statement(who, period=YEAR).rows}
    said = [row.what for row in debts.statement(who, period=YEAR, language=language).rows]
    assert not english & set(said)
    assert Words(language)("entry.payment", of="INV-002", how=Words(language)("paid_by.cash")) in said


def test_a_reminder_has_its_usual_words_in_the_language_and_the_makers_own_as_they_are() -> None:
    sale = make.sale(item(None, 100), customer=make.customer(), on=day(1))
    row = reminders.remind(sale=sale, on=day(60), tone="friendly")
    german = Words("de")
    assert debts.reminder(row).text == row.words
    assert debts.reminder(row, "de").text == german("reminder.text.friendly")
    assert debts.reminder(row, "de").title == german("reminder.title.friendly")
    Reminder.objects.update(words="Pay up.")
    row.refresh_from_db()
    assert debts.reminder(row, "de").text == "Pay up."


def test_a_reminder_asks_for_what_is_owed_with_interest_on_the_account_of_today() -> None:
    sale = make.sale(item(None, 100), customer=make.customer(), on=day(1))
    row = reminders.remind(sale=sale, on=day(60), tone="friendly")
    assert not debts.reminder(row).payment.iban
    Workshop.objects.update(iban="FI2112345600000785", reference="rf", maker="K. Routamo")
    Reminder.objects.update(interest=Decimal("1.25"))
    workshop.forget()
    row.refresh_from_db()
    asked = debts.reminder(row).payment
    assert (asked.name, asked.iban) == ("K. Routamo", "FI21 1234 5600 0007 85")
    assert asked.reference.startswith("RF")
    assert "EUR101.25" in asked.code


def test_a_workshops_own_language_is_that_of_its_labels_and_of_what_its_lists_call_a_skin() -> None:
    accounting.set_up(paper_language="fi")
    make.skin("H01")
    make.skin("H02", owner="customer", customer="Anna", price="0")
    label = printing.label("tag", "H01")
    assert f"Lammas {Words('fi')('tag.own')}" in reading.words(label)
    assert reading.language(label) == "fi"
    assert reading.language(printing.label("tag", "H01", languages=["sv"])) == "sv"
    listed = {item.code: item.description for _, items in stock.stocktake_sheet().places for item in items}
    assert (listed["H01"], listed["H02"]) == ("Nahka, lammas", "Nahka, lammas, asiakas Anna")


def test_a_care_card_in_the_box_is_named_in_the_language() -> None:
    make.skin("H01")
    article = make.finish("H01")[0]
    sale = make.sale(item(article, 100), customer=make.customer(), on=day(90))
    assert goods.packing_slip(sale).items[0].care == article.get_method_display()
    assert goods.packing_slip(sale, "fi").items[0].care == Words("fi")(f"care.{article.method}.name").capitalize()


def test_a_page_prints_in_the_language_of_its_address() -> None:
    who, client = busy(), signed_in()
    path = f"/customers/{who.pk}/statement.pdf"
    assert "Kontoauszug" in reading.words(client.get(path, {"language": "de"}).content)
    assert client.get(path, {"language": "xx"}).status_code == 302


def test_a_species_is_called_in_the_language_of_the_paper_wherever_it_stands() -> None:
    make.skin("H01", species="sheep")
    make.batch("B1", tags=["H01"])
    assert batch_cards.batch_card("B1", "fi").skins[0].species == "lammas"
    assert jobs.job_card(make.job(finished=False), "de").skin == "Schaf"


def test_the_usual_words_of_hazard_are_said_in_the_language_of_the_label(db: None) -> None:
    make.material("BORAX", substance="borax", name="Borax")
    said = reading.words(printing.label("jar", "BORAX", languages=("fi",)))
    assert "VAARA" in said
    assert "Saattaa heikentää hedelmällisyyttä" in said
    assert "DANGER" not in said
    assert "memory" not in said
