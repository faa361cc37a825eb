"""Words on papers, in Setup: languages, phrases, one phrase, the tick, and what other pages say before a paper is printed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import Customer
from costing.sell.customers import services as customers
from costing.sell.jobs import services as jobs
from inventory.base.accounting import services as accounting
from inventory.base.wording import services as wording
from inventory.models import CheckedLanguage, Phrase
from tests.factories import DAY, person, skin
from tests.inventory.pages import queries, signed_in, text
from workshop.documents.words import services as words
from workshop.documents.words.rules import LANGUAGES

pytestmark = pytest.mark.django_db
FINNISH = "/setup/words/fi/"
PHRASE = "/setup/words/fi/kit.page/"
UNCHECKED = "unchecked translation"


@pytest.fixture
def client() -> Client:
    return signed_in()


def enter(client: Client, said: str, address: str = PHRASE) -> str:
    """What the page answers; empty when it was kept."""
    answer = client.post(address, {"request_key": "k", "text": said})
    return "" if answer.status_code == 302 else text(answer)


def test_the_list_marks_what_nobody_checked(client: Client) -> None:
    assert reverse("words") in text(client.get(reverse("setup")))
    page = text(client.get(reverse("words")))
    assert page.count(UNCHECKED) == len(LANGUAGES) - 1
    wording.tick(language="fi")
    words.change(language="fi", key="kit.page", text="{number} {count}")
    page = text(client.get(reverse("words")))
    assert page.count(UNCHECKED) == len(LANGUAGES) - 2
    assert ">checked<" in page


def test_a_translation_is_ticked_and_unticked_by_one_button(client: Client) -> None:
    assert "I have checked it" in text(client.get(FINNISH))
    page = text(client.post(f"{FINNISH}checked/", {"checked": "yes"}, follow=True))
    assert CheckedLanguage.objects.get().who == "owner"
    assert UNCHECKED not in page
    page = text(client.post(f"{FINNISH}checked/", {"checked": "no"}, follow=True))
    assert not CheckedLanguage.objects.exists()
    assert UNCHECKED in page


def test_english_has_no_tick(client: Client) -> None:
    assert "I have checked it" not in text(client.get("/setup/words/en/"))
    assert "English came whole" in text(client.post("/setup/words/en/checked/", {"checked": "yes"}, follow=True))


@pytest.mark.thorough
def test_a_phrase_is_changed_beside_its_english_and_given_back(client: Client) -> None:
    page = text(client.get(PHRASE))
    assert "page {number} of {count}" in page
    assert "{count}, {number}: keep each" in page
    assert enter(client, "s. {number}/{count}") == ""
    assert Phrase.objects.get().written_by is not None
    assert "s. {number}/{count}" in text(client.get(FINNISH))
    assert enter(client, "") == ""
    assert not Phrase.objects.exists()


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ("s. {number}", "{count} is missing"),
        ("{number} {count} {day}", "{day} is not known"),
        ("{number} {count} " + "x" * 300, "longer than 200 characters"),
        ("{number} {count} 🐑", "cannot be printed"),
        ("{number} {count} \x07", "control character"),
    ],
)
def test_what_cannot_be_printed_is_refused_beside_the_box_and_stays_typed(client: Client, said: str, says: str) -> None:
    page = enter(client, said)
    assert says in page
    assert said.split()[0] in page
    assert not Phrase.objects.exists()


def test_markup_in_a_phrase_is_text(client: Client) -> None:
    assert enter(client, "<b>{number}</b> {count}") == ""
    assert "&lt;b&gt;{number}&lt;/b&gt; {count}" in text(client.get(FINNISH))


@pytest.mark.thorough
def test_a_suggestion_is_adopted_only_when_it_is_saved(client: Client) -> None:
    care = "/setup/words/en/own.care/"
    assert f"{care}?adopt=1" in text(client.get("/setup/words/en/"))
    page = text(client.get(f"{care}?adopt=1"))
    assert "This is the suggestion" in page
    assert "Shake it out and brush the hair." in page.partition("<textarea")[2]
    assert "Check it with a lawyer" in page
    assert not Phrase.objects.exists()
    assert enter(client, "Brush it.\r\nShake it.", f"{care}?adopt=1") == ""
    assert Phrase.objects.get().text == "Brush it.\nShake it."
    assert f"{care}?adopt=1" not in text(client.get("/setup/words/en/"))


@pytest.mark.thorough
def test_phrases_are_found_by_word_paper_and_what_was_changed(client: Client) -> None:
    assert "kit.page" in client.get(FINNISH, {"words": "SIVU number"}).content.decode()
    assert "No phrase fits" in text(client.get(FINNISH, {"words": "sivu nowhere"}))
    assert "No phrase fits" in text(client.get(FINNISH, {"show": "changed"}))
    enter(client, "{number} {count}")
    assert 'id="kit.page"' in text(client.get(FINNISH, {"show": "changed"}))
    own = text(client.get(FINNISH, {"paper": "own"}))
    assert 'id="terms.job"' in own
    assert 'id="kit.page"' not in own
    assert 'id="kit.page"' in text(client.get(FINNISH, {"paper": "nonsense", "show": "nonsense"}))


@pytest.mark.parametrize(
    "address",
    ["/setup/words/xx/", "/setup/words/fi/kit.nothing/", "/setup/words/fi/suggest.care/", "/setup/words/xx/kit.page/"],
)
def test_what_is_not_there_is_not_found(client: Client, address: str) -> None:
    assert client.get(address).status_code == 404


@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_only_the_owner_sees_and_changes_words(role: str) -> None:
    hand = signed_in(person(role))
    for address in (reverse("words"), FINNISH, PHRASE):
        assert hand.get(address).status_code == 403
    assert hand.post(PHRASE, {"request_key": "k", "text": "{number} {count}"}).status_code == 403
    assert hand.post(f"{FINNISH}checked/", {"checked": "yes"}).status_code == 403
    assert not Phrase.objects.exists()
    assert not CheckedLanguage.objects.exists()


@pytest.mark.thorough
def test_pages_ask_as_much_of_the_database_whatever_is_changed(client: Client) -> None:
    addresses = (reverse("words"), FINNISH, PHRASE)
    before = [queries(client, address) for address in addresses]
    for key in ("kit.page", "terms.job", "own.care"):
        words.change(language="fi", key=key, text="{number} {count}" if key == "kit.page" else "x")
    assert [queries(client, address) for address in addresses] == before


def test_the_language_of_all_papers_is_chosen_where_you_work(client: Client) -> None:
    accounting.set_up(paper_language="sv")
    assert 'value="sv" selected' in text(client.get(reverse("setup_where")))
    assert "Papers are printed in Swedish" in text(client.get(reverse("words")))


@pytest.mark.thorough
def test_before_a_paper_is_printed_the_page_says_that_nobody_checked_its_words(client: Client) -> None:
    row = customers.write(name="Ella", language="fi")
    theirs = skin("H1", price=0, owner="customer", customer="Ella")
    job = jobs.take(number="J-1", customer=row, skin=theirs, work="taw", price=Decimal(9), taken_on=DAY)
    address = reverse("job", args=[job.number])
    page = text(client.get(address))
    assert "Papers are printed from here in Finnish." in page
    assert f"{UNCHECKED}<" in page.partition("Print in another")[0]
    printed = reverse("job_pdf", args=[job.number])
    assert f'{printed}?language=en"> English <' in page
    assert f'{printed}?language=de"> German (unchecked translation) <' in page
    assert FINNISH in page
    assert FINNISH not in text(signed_in(person("bookkeeper")).get(address))
    wording.tick(language="fi")
    page = text(client.get(address))
    assert "Papers are printed from here in Finnish." in page
    assert UNCHECKED not in page.partition("Print in another")[0]
    customers.write(name="Ella", customer=Customer.objects.get())
    assert "printed from here" not in text(client.get(address))


def test_a_statement_is_printed_in_another_language_for_the_same_days(client: Client) -> None:
    row = customers.write(name="Ella")
    page = text(client.get(reverse("statement", args=[row.pk]), {"since": "2025-01-01", "until": "2025-03-31"}))
    printed = reverse("statement_pdf", args=[row.pk])
    assert f"{printed}?since=2025-01-01&amp;until=2025-03-31&amp;language=fi" in page
    assert "printed from here" not in page
