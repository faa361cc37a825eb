"""Reads the words of papers as they hold in this workshop."""

from workshop.documents.words import rules
from workshop.documents.words.rules import Words


def of(language: str = "") -> Words:
    """The phrases in a language, with the maker's own over those that come with the program."""
    return Words(rules.known(language))
