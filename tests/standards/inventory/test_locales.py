"""How eleven locales write figures, money and days, and which paper and measures their countries use.

Source: CLDR 48.2 (npm cldr-core, cldr-numbers-full, cldr-dates-full; main/<locale>/numbers.json and ca-gregorian.json,
supplemental/measurementData.json), Unicode licence. Where the program goes another way than Babel 2.19 prints, the row says why.
"""

from datetime import date
from decimal import Decimal

import pytest

from inventory import formats, money
from inventory.base import locales

D = Decimal
HARD, NARROW = "\u00a0", "\u202f"

# locale, 1234.5, 1234567.891, the currency, 1234.5 of it, the day 2026-03-05 (CLDR's medium date; names of months stay English),
# paper, measures
ROWS = [
    ("en-US", "1,234.5", "1,234,567.891", "USD", "$1,234.50", "Mar 5, 2026", "letter", "us"),
    ("en-GB", "1,234.5", "1,234,567.891", "GBP", "£1,234.50", "5 Mar 2026", "a4", "imperial"),
    ("fi-FI", f"1{HARD}234,5", f"1{HARD}234{HARD}567,891", "EUR", f"1{HARD}234,50{HARD}€", "5.3.2026", "a4", "metric"),
    (
        "sv-SE",
        f"1{HARD}234,5",
        f"1{HARD}234{HARD}567,891",
        "SEK",
        f"1{HARD}234,50{HARD}kr",
        "5 Mar 2026",
        "a4",
        "metric",
    ),
    ("de-DE", "1.234,5", "1.234.567,891", "EUR", f"1.234,50{HARD}€", "05.03.2026", "a4", "metric"),
    # Babel drops the marks from seven digits up.
    ("de-CH", "1'234.5", "1'234'567.891", "CHF", f"CHF{HARD}1'234.50", "05.03.2026", "a4", "metric"),
    (
        *("fr-FR", f"1{NARROW}234,5", f"1{NARROW}234{NARROW}567,891", "EUR", f"1{NARROW}234,50{HARD}€"),
        *("5 Mar 2026", "a4", "metric"),
    ),
    # CLDR asks for no mark below 10 000 in these three (minimumGroupingDigits 2); Babel prints one.
    ("es-ES", "1234,5", "1.234.567,891", "EUR", f"1234,50{HARD}€", "5 Mar 2026", "a4", "metric"),
    ("et-EE", "1234,5", f"1{HARD}234{HARD}567,891", "EUR", f"1234,50{HARD}€", "5. Mar 2026", "a4", "metric"),
    ("pl-PL", "1234,5", f"1{HARD}234{HARD}567,891", "PLN", f"1234,50{HARD}zł", "5 Mar 2026", "a4", "metric"),
    # Yen have no minor unit; half a yen goes up (Babel rounds it to even), and the sign is the one of half width.
    ("ja-JP", "1,234.5", "1,234,567.891", "JPY", "¥1,235", "2026/03/05", "a4", "metric"),
]


@pytest.mark.parametrize(("locale", "short", "long", "currency", "price", "day", "paper", "measures"), ROWS)
def test_a_locale_writes_as_cldr_says(
    locale: str, short: str, long: str, currency: str, price: str, day: str, paper: str, measures: str
) -> None:
    with formats.using(locales.style(locale)):
        assert formats.figure(D("1234.5")) == short
        assert formats.figure(D("1234567.891")) == long
        assert money.show(D("1234.5"), currency) == price
        assert formats.day(date(2026, 3, 5)) == day
    country = locales.territory(locale)
    assert (locales.paper_of(country), locales.measures_of(country)) == (paper, measures)


@pytest.mark.parametrize("locale", [row[0] for row in ROWS])
@pytest.mark.parametrize("figure", ["0", "0.125", "7", "999", "1000", "1250.5", "12345.678", "1234567.891", "-1250.5"])
def test_what_a_locale_writes_it_reads(locale: str, figure: str) -> None:
    style = locales.style(locale)
    assert style.read(style.number(D(figure))) == D(figure)
    assert style.read(style.typed(D(figure))) == D(figure)


@pytest.mark.parametrize(
    ("value", "shown"),
    [("2.345", "2.35"), ("0.125", "0.13"), ("1.005", "1.01"), ("2.675", "2.68"), ("-2.345", "−2.35")],
)
def test_money_is_rounded_half_up_before_it_is_written(value: str, shown: str) -> None:
    """Babel's own formatting rounds half to even: 2.34, 0.12, 1.00, 2.68."""
    with formats.using(locales.style("en-GB")):
        assert money.figure(D(value), "GBP") == shown


def test_a_rate_of_tax_keeps_its_decimals() -> None:
    """Babel's default percent pattern shows 25.5 % as 26 %."""
    with formats.using(locales.style("fi-FI")):
        assert f"{formats.plain(D('25.500'))} %" == "25,5 %"


@pytest.mark.parametrize(
    ("currency", "shown"), [("JPY", "¥1,235"), ("KWD", f"KWD{HARD}1,234.500"), ("EUR", "€1,234.50")]
)
def test_money_has_the_places_of_its_currency(currency: str, shown: str) -> None:
    """ISO 4217: no minor unit of the yen, a thousandth of the Kuwaiti dinar."""
    with formats.using(locales.style("en-US")):
        assert money.show(D("1234.5"), currency) == shown


def test_other_papers_and_measures_are_the_exceptions_of_cldr() -> None:
    assert {
        locales.paper_of(country)
        for country in ["BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"]
    } == {"letter"}
    assert [locales.measures_of(country) for country in ("US", "LR", "GB", "MM", "IE", "CA")] == [
        *("us", "us", "imperial", "imperial", "metric", "metric")
    ]
