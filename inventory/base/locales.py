"""The locales that a workshop may choose, from the tables of CLDR (through Babel): the style of each, what its country suggests.

Owns how a locale is named, and the short lists of what Babel lacks: paper, measures, and where four digits need no mark. It must
not write a figure (see `inventory.formats`). Babel's own formatting is not called: it rounds half to even, shows 25.5 % as 26 %,
drops the marks of Swiss millions, and reads "1.5" as 15 in German.

Source: CLDR 48 as in Babel 2.19; the lists below from supplemental/measurementData and main/<locale>/numbers of cldr-core and
cldr-numbers-full 48.2.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from functools import cache
from typing import TYPE_CHECKING

from inventory import formats
from inventory.errors import Refused, meant
from inventory.formats import SIGNS, Style

if TYPE_CHECKING:
    from babel import Locale

LETTER_TERRITORIES = frozenset(["BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"])
US_MEASURES = frozenset(["US", "LR"])
IMPERIAL_MEASURES = frozenset(["GB", "MM"])
UNMARKED_THOUSANDS = frozenset(["es-ES", "et-EE", "pl-PL"])
EU = frozenset(
    [
        "AT",
        "BE",
        "BG",
        "CY",
        "CZ",
        "DE",
        "DK",
        "EE",
        "ES",
        "FI",
        "FR",
        "GR",
        "HR",
        "HU",
        "IE",
        "IT",
        "LT",
        "LU",
        "LV",
        "MT",
        "NL",
        "PL",
        "PT",
        "RO",
        "SE",
        "SI",
        "SK",
    ]
)

_NAME = re.compile(r"[a-z]{2,3}(-[A-Z][a-z]{3})?(-[A-Z]{2})?")
_TURNS = re.compile("[\u200e\u200f]")


@cache
def style(locale: str) -> Style:
    """The style of a locale by its name, such as `de-DE`; of none, that of a workshop which has not chosen. Refused as `known`."""
    if not locale:
        return formats.STYLE
    name = known(locale)
    found = _parsed(name)
    marks = found.number_symbols["latn"]
    pattern = found.currency_formats["standard"]
    symbols = {code: unicodedata.normalize("NFKC", sign) for code, sign in found.currency_symbols.items()}
    return Style(
        locale=name,
        point=marks["decimal"],
        group=marks["group"],
        sizes=pattern.grouping,
        least=2 if name in UNMARKED_THOUSANDS else 1,
        before=_TURNS.sub("", pattern.prefix[0]),
        after=_TURNS.sub("", pattern.suffix[0]),
        day_pattern=_day_pattern(found),
        short_pattern=_short_pattern(found),
        signs={**SIGNS, **symbols},
    )


def known(locale: str) -> str:
    """A locale's name as it is kept (`de-DE`), whatever its capitals and hyphens; what is none is refused with near ones.

    >>> known("EN_us")
    'en-US'
    """
    names = _names()
    said = locale.strip().replace("_", "-")
    if said.casefold() in names:
        return names[said.casefold()]
    if usual := _in_usual_script(said):
        return usual
    language = said.partition("-")[0].casefold()
    same = [name for name in names if name.startswith(f"{language}-")]
    near = difflib.get_close_matches(said.casefold(), same or names, n=4, cutoff=0.6)
    if len(said) > len("en") and not same:
        near = [name.casefold() for name, title in locales() if said.casefold() in title.casefold()][:4] or near
    hint = meant(tuple(names[name] for name in near), "write a language and a country, such as en-US or de-DE.")
    raise Refused(f"“{locale}” is not a locale known here; {hint}", field="locale")


def locales() -> list[tuple[str, str]]:
    """The locales of a country and a language that is official there, or English, by their names in English."""
    return _listed()


def territory(locale: str) -> str:
    """The country of a locale: `en-US` -> US; empty for none."""
    return (_parsed(known(locale)).territory or "") if locale else ""


def country(code: str, *, field: str = "country") -> str:
    """A country as ISO 3166-1 writes it in two letters, whatever its capitals; empty for none. Refused where there is no such one.

    >>> country(" fi "), country("")
    ('FI', '')
    """
    found = code.strip().upper()
    if not found or (len(found) == 2 and zones_of(found)):
        return found
    known = {name.casefold(): short for short, name in countries()}
    near = [known[name] for name in difflib.get_close_matches(code.strip().casefold(), known, n=3, cutoff=0.8)]
    hint = meant(tuple(near), "write the two letters of its ISO code, such as FI or US.")
    raise Refused(f"“{code.strip()[:40]}” is not a country's code; {hint}", field=field)


@cache
def countries() -> list[tuple[str, str]]:
    """Each country's code with its name in English, by name."""
    from babel import Locale  # as below

    names = Locale("en").territories
    return sorted(
        ((code, name) for code, name in names.items() if len(code) == 2 and zones_of(code)), key=lambda one: one[1]
    )


def measures_of(country: str) -> str:
    """The system of measures of a country: metric, us or imperial."""
    return "us" if country in US_MEASURES else "imperial" if country in IMPERIAL_MEASURES else "metric"


def paper_of(country: str) -> str:
    """The paper of a country: letter or a4."""
    return "letter" if country in LETTER_TERRITORIES else "a4"


def zones_of(country: str) -> list[str]:
    """The time zones of a country, the most general one first; empty where none is known."""
    from babel.core import get_global  # as below

    found = get_global("territory_zones").get(country, [])
    return list(found)


@cache
def _names() -> dict[str, str]:
    from babel.localedata import locale_identifiers  # loaded when a locale is first asked for

    names = (name.replace("_", "-") for name in locale_identifiers())
    return {name.casefold(): name for name in sorted(names) if _NAME.fullmatch(name)}


def _in_usual_script(said: str) -> str:
    """zh-CN as zh-Hans-CN; empty where no such locale is."""
    from babel import Locale, UnknownLocaleError  # as above

    language, _, country = said.partition("-")
    if not re.fullmatch(r"[A-Za-z]{2,3}-[A-Za-z]{2}", said):
        return ""
    try:
        name = str(Locale.parse(f"{language.lower()}_{country.upper()}")).replace("_", "-")
    except (UnknownLocaleError, ValueError):
        return ""
    return name if name.endswith(f"-{country.upper()}") else ""


@cache
def _listed() -> list[tuple[str, str]]:
    from babel import Locale  # as above
    from babel.languages import get_official_languages

    english = Locale("en")
    found = []
    for name in _names().values():
        language, country = name.split("-")[0], name.rpartition("-")[2]
        if country in english.territories and language in {"en", *get_official_languages(country)}:
            found.append((name, f"{english.languages[language]}, {english.territories[country]} ({name})"))
    return sorted(found, key=lambda pair: pair[1])


@cache
def _parsed(name: str) -> Locale:
    from babel import Locale  # as above

    return Locale.parse(name, sep="-")


def _day_pattern(found: Locale) -> str:
    """CLDR's medium date; its short one, with a whole year, where the medium one has words of the language in it."""
    medium = _TURNS.sub("", str(found.date_formats["medium"].pattern))
    if not re.search(r"[^\W\d_]", re.sub(r"[dMLy]", "", medium)):
        return medium
    numeric = re.sub(r"'[^']*'|[^\W\d_dMLy]", "", _TURNS.sub("", str(found.date_formats["short"].pattern)))
    return re.sub(r"y+", "y", numeric).strip(f" .{formats.HARD_SPACE}{formats.NARROW_SPACE}")


def _short_pattern(found: Locale) -> str:
    """The day pattern without its year, and without the mark that stood beside it."""
    pattern = _day_pattern(found)
    stripped = re.sub(r"^y+[^dML]*|[,/\- ]*y+[^dML]*$", "", pattern)
    return stripped.strip(" ,/-")
