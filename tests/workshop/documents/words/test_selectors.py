"""The words of a paper: the maker's over those that came, in the language of the print, the customer or the workshop."""

from __future__ import annotations

import pytest
from pytest_django import DjangoAssertNumQueries

from costing.sell.customers import services as customers
from inventory.base import selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.errors import NotAllowed, Refused
from tests.factories import person
from workshop.documents.words import selectors, services as words

pytestmark = pytest.mark.django_db
PAGE = "kit.page"


def page(language: str = "") -> str:
    return selectors.of(language)(PAGE, number=1, count=2)


def test_the_makers_words_stand_over_those_that_came() -> None:
    words.change(language="fi", key=PAGE, text="s. {number} ({count})")
    assert (page("fi"), page("en"), page()) == ("s. 1 (2)", "page 1 of 2", "page 1 of 2")
    words.change(language="fi", key=PAGE, text="")
    assert page("fi") == "sivu 1/2"


def test_no_language_is_the_workshops_own() -> None:
    accounting.set_up(paper_language="fi")
    assert selectors.of().language == "fi"
    assert page() == "sivu 1/2"


def test_a_language_of_no_paper_is_refused() -> None:
    with pytest.raises(Refused, match="choose one of en, fi"):
        selectors.of("xx")
    with pytest.raises(Refused, match="not a known language of papers"):
        accounting.set_up(paper_language="xx")


@pytest.mark.parametrize("language", ["", "en", "fi"])
def test_one_query_whatever_is_changed(language: str, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    with workshop.remembered():
        workshop.current()
        with django_assert_num_queries(1):
            selectors.of(language)
        words.change(language="fi", key=PAGE, text="{number} {count}")
        words.change(language="en", key="terms.job", text="Mine")
        workshop.current()
        with django_assert_num_queries(1):
            found = selectors.of(language)
            found(PAGE)
            found.lines("terms.job")


def test_for_a_customer_the_print_comes_first_then_theirs_then_the_workshops() -> None:
    accounting.set_up(paper_language="sv")
    finn, other = customers.write(name="A", language="fi"), customers.write(name="B")
    assert selectors.for_customer(finn, "de").language == "de"
    assert selectors.for_customer(finn).language == "fi"
    assert selectors.for_customer(other).language == "sv"
    assert selectors.for_customer(None).language == "sv"


def test_own_lines_come_empty_and_stand_in_the_workshops_language_where_no_other_is_written() -> None:
    assert selectors.of("fi").lines("terms.job") == ()
    words.change(language="en", key="terms.job", text="One\nTwo")
    words.change(language="en", key=PAGE, text="{number}: {count}")
    assert selectors.of("fi").lines("terms.job") == ("One", "Two")
    assert page("fi") == "sivu 1/2"
    words.change(language="fi", key="terms.job", text="Yksi")
    assert selectors.of("fi").lines("terms.job") == ("Yksi",)
    assert selectors.of("en").here("terms.job") == "One\nTwo"


def test_only_the_owner_changes_a_phrase() -> None:
    with pytest.raises(NotAllowed):
        words.change(language="fi", key=PAGE, text="{number} {count}", by=person("helper"))
