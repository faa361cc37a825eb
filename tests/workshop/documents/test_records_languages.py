"""In which language a paper is: the one asked for, else its customer's; what an entry of an account is called in it."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace

import pytest

from costing.models import Reminder
from costing.sell.debts.reminders import services as reminders
from costing.sell.debts.statements import selectors as statements
from inventory.errors import Refused
from tests import factories as make
from tests.costing.sell.debts.test_statements import busy
from tests.factories import DAY, days_from, item
from tests.inventory.pages import signed_in
from tests.workshop.documents import reading
from workshop.documents.records import debts, goods, shared
from workshop.documents.words.rules import LANGUAGES, Words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("type_is_cut")]
YEAR = date(2025, 1, 1), date(2025, 12, 31)
day = days_from(DAY)


def test_the_language_asked_for_goes_before_the_customers_and_english_comes_last() -> None:
    finn = SimpleNamespace(language="fi")
    assert [shared.words(*asked).language for asked in (("de", finn), ("", finn), ("", None))] == ["de", "fi", "en"]
    with pytest.raises(Refused, match="There are no words in 'xx'"):
        shared.words("xx", finn)


def test_an_entry_of_an_account_is_called_in_english_as_its_page_calls_it() -> None:
    who = busy()
    rows = statements.account(who, *YEAR).rows
    assert [row.what for row in debts.statement(who, period=YEAR).rows] == [row.what for row in rows]


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


def test_a_care_card_in_the_box_is_named_in_the_language() -> None:
    make.skin("H01")
    article = make.finish("H01")[0]
    sale = make.sale(item(article, 100), customer=make.customer(), on=day(90))
    assert goods.packing_slip(sale).items[0].care == article.get_method_display()
    assert goods.packing_slip(sale, "fi").items[0].care == Words("fi")(f"packing.method.{article.method}")


def test_a_page_prints_in_the_language_of_its_address() -> None:
    who, client = busy(), signed_in()
    path = f"/customers/{who.pk}/statement.pdf"
    assert "Kontoauszug" in reading.words(client.get(path, {"language": "de"}).content)
    assert client.get(path, {"language": "xx"}).status_code == 302
