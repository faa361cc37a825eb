"""Reads the words of papers as they hold in this workshop."""

from costing.models import Customer
from inventory.base import selectors as workshop
from inventory.base.wording import selectors as wording
from workshop.documents.words import editing, rules
from workshop.documents.words.editing import Section
from workshop.documents.words.rules import OWN_LINES, Words


def of(language: str = "") -> Words:
    """The phrases in a language, with the maker's own over those that come with the program; the workshop's where none is named.

    What comes empty (terms, care) and is not said in the language stands as the maker says it in the workshop's own.
    """
    home = workshop.current().paper_language
    language = rules.known(language or home)
    own = wording.phrases(*{home, language})
    fallen = {key: own[home][key] for key in OWN_LINES if key in own[home]}
    return Words(language, fallen | own[language])


def for_customer(customer: Customer | None, language: str = "") -> Words:
    """The words of a paper: in the language asked for at this print, else the customer's, else the workshop's."""
    return of(language or (customer.language if customer else ""))


def sections(language: str) -> list[Section]:
    """Every phrase of every paper in a language, the maker's own lines first."""
    return editing.sections(language, wording.phrases(language)[language])
