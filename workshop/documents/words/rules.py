"""Owns the phrases that come with the program and how one is filled in. Reads its files; knows no database and no paper."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from inventory import formats
from inventory.base import languages

LANGUAGES, ENGLISH, known = languages.LANGUAGES, languages.ENGLISH, languages.known

# What binds somebody is said only where the maker says it: the phrase that holds it, empty until then, and what it may start from.
OWN_LINES: Mapping[str, str] = {
    "terms.job": "suggest.job",
    "terms.gallery": "suggest.gallery",
    "terms.payment": "suggest.payment",
    "terms.returns": "suggest.returns",
    "terms.warranty": "suggest.warranty",
    "own.care": "suggest.care",
}

# Keys of folders saved before two phrases that said the same became one.
MOVED: Mapping[str, str] = {
    **{f"invoice.how.{way}": f"paid_by.{way}" for way in ("cash", "bank", "card", "barter", "other")},
    **{
        f"packing.method.{method}": f"care.{method}.name"
        for method in ("alum_tawed", "bark", "oil_smoked", "synthetic")
    },
    "invoice.balance_after": "invoice.total_after",
}

_PLACE = re.compile(r"\{([a-z_]+)\}")


@dataclass(frozen=True)
class Words:
    """The phrases of papers in one language, by keys such as "invoice.due_date"; what the maker changed stands in `own`.

    A phrase of several lines is one text with line breaks.
    """

    language: str = ENGLISH
    own: Mapping[str, str] = field(default_factory=dict)

    def __call__(self, key: str, **named: object) -> str:
        """The phrase with its places filled; in English where this language has none.

        >>> Words()("kit.page", number=1, count=2)
        'page 1 of 2'
        """
        return filled(self.own.get(key) or shipped(self.language).get(key) or shipped(ENGLISH)[key], named)

    def here(self, key: str, **named: object) -> str:
        """The phrase in this very language, or nothing: for words that a law fixes and that must not be put in another tongue."""
        return filled(self.own.get(key) or shipped(self.language).get(key, ""), named)

    def lines(self, key: str, **named: object) -> tuple[str, ...]:
        """A phrase of several lines, line by line."""
        return tuple(self(key, **named).splitlines())

    def day(self, when: date) -> str:
        """A day as this language writes it; in English as the workshop does.

        >>> Words().day(date(2026, 1, 7)), Words("fi").day(date(2026, 1, 7))
        ('7 Jan 2026', '7.1.2026')
        """
        if self.language == ENGLISH:
            return formats.day(when)
        from babel.dates import format_date  # its tables take a while, and English papers need none

        return format_date(when, "medium", locale=self.language)

    def weekday(self, when: date) -> str:
        """A day with its weekday, for what is to be done on it.

        >>> Words().weekday(date(2025, 1, 20)), Words("de").weekday(date(2025, 1, 20))
        ('Mon 20 Jan 2025', 'Mo., 20. Jan. 2025')
        """
        return formats.day(when, weekday=True) if self.language == ENGLISH else self._skeleton(when, "yMMMEd")

    def month(self, when: date) -> str:
        """A month and its year.

        >>> Words().month(date(2025, 9, 1)), Words("es").month(date(2025, 9, 1))
        ('September 2025', 'septiembre de 2025')
        """
        return formats.month(when) if self.language == ENGLISH else self._skeleton(when, "yMMMM")

    def _skeleton(self, when: date, parts: str) -> str:
        from babel.dates import format_skeleton  # its tables take a while, and English papers need none

        return format_skeleton(parts, when, locale=self.language)


def filled(phrase: str, named: Mapping[str, object]) -> str:
    """The phrase with `{name}` replaced by what is named; other braces stay as somebody wrote them.

    >>> filled("Corrects {number} {or so}", {"number": "INV-004"})
    'Corrects INV-004 {or so}'
    """
    return _PLACE.sub(lambda found: str(named.get(found[1], found[0])), phrase)


def places(phrase: str) -> set[str]:
    """The names that a phrase asks for.

    >>> sorted(places("page {number} of {count}"))
    ['count', 'number']
    """
    return set(_PLACE.findall(phrase))


@cache
def shipped(language: str) -> Mapping[str, str]:
    """The phrases that come in one language, by key."""
    read = tomllib.loads((Path(__file__).parent / f"{known(language)}.toml").read_text("utf-8"))
    return dict(_flat(read))


def _flat(table: Mapping[str, Any], above: str = "") -> Iterator[tuple[str, str]]:
    for name, value in table.items():
        key = f"{above}.{name}" if above else name
        if isinstance(value, dict):
            yield from _flat(value, key)
        else:
            yield key, "\n".join(value) if isinstance(value, list) else value
