"""Owns in which languages papers can be printed. Knows no phrase of them and no database."""

from inventory.errors import Refused

# By ISO 639-1 code: its own name, and what the pages call it. English is whole; the others fall back to it phrase by phrase.
LANGUAGES = {"en": "English", "fi": "suomi", "sv": "svenska", "de": "Deutsch", "fr": "français", "es": "español"}
NAMES = {"en": "English", "fi": "Finnish", "sv": "Swedish", "de": "German", "fr": "French", "es": "Spanish"}
ENGLISH = "en"
TRANSLATIONS = tuple(language for language in LANGUAGES if language != ENGLISH)


def known(language: str, *, field: str = "language") -> str:
    """The language, checked; English where none is named.

    >>> known(""), known("fi")
    ('en', 'fi')
    """
    language = language or ENGLISH
    if language not in LANGUAGES:
        raise Refused(f"There are no words in {language[:40]!r}; choose one of {', '.join(LANGUAGES)}.", field=field)
    return language
