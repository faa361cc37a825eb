"""Reading a typed figure and writing one: what is read in one way only is taken, what may be two things is asked about."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from inventory import formats
from inventory.base import locales
from inventory.errors import Refused
from inventory.formats import PLAIN, STYLE

D = Decimal
SPACES = " \u00a0\u2009\u202f"


@pytest.mark.parametrize(
    ("text", "value"),
    [
        *(
            ("1250", "1250"),
            ("1.5", "1.5"),
            ("1,5", "1.5"),
            ("1,25", "1.25"),
            ("1,2500", "1.25"),
            (".5", "0.5"),
            ("0,125", "0.125"),
        ),
        *(
            ("1,200.00", "1200"),
            ("1.200,00", "1200"),
            ("1'200.00", "1200"),
            ("1’200", "1200"),
            ("1.234.567", "1234567"),
        ),
        *((f"1{space}200,5", "1200.5") for space in SPACES),
        *(("1234,567", "1234.567"), ("-1,5", "-1.5"), ("−1,5", "-1.5"), ("+2", "2")),
    ],
)
def test_before_a_locale_is_chosen_what_is_plain_is_read(text: str, value: str) -> None:
    assert STYLE.read(text) == D(value)


@pytest.mark.parametrize(
    ("text", "whole", "part"), [("1,250", "1250", "1.25"), ("1.250", "1250", "1.25"), ("12,345", "12345", "12.345")]
)
def test_before_a_locale_is_chosen_three_digits_after_one_mark_are_asked_about(
    text: str, whole: str, part: str
) -> None:
    with pytest.raises(Refused, match=f"“{text}” may be {whole} or {part}. Write {whole}, or {part}"):
        STYLE.read(text)


@pytest.mark.parametrize(
    "text", ["", "x", "1..2", "1,2,3", "1 23", "12,34,567", "1e3", "NaN", "1.2.3,4", "¼", "0,125,000"]
)
def test_what_is_no_figure_is_refused(text: str) -> None:
    with pytest.raises(Refused, match="is not a figure"):
        STYLE.read(text)


@pytest.mark.parametrize(
    ("locale", "text", "value"),
    [
        *(("en-US", "1,250", "1250"), ("en-US", "1.250", "1.25"), ("en-US", "1,200.00", "1200"), ("en-US", "$", None)),
        *(
            ("de-DE", "1.250", "1250"),
            ("de-DE", "1,250", "1.25"),
            ("de-DE", "1.5", None),
            ("de-DE", "1.200,5", "1200.5"),
        ),
        *(("fr-FR", f"1{space}200,00", "1200") for space in SPACES),
        *(("de-CH", "1'200.00", "1200"), ("de-CH", "1’200.00", "1200"), ("en-US", "1'200.00", None)),
        *(("en-US", "1,5", None), ("en-US", "1 250", None), ("en-US", "12,50.00", None), ("fi-FI", "1.250", None)),
        *(
            ("es-ES", "1.250", "1250"),
            ("es-ES", "1250", "1250"),
            ("en-IN", "12,34,567.5", "1234567.5"),
            ("en-US", "0,125", None),
        ),
    ],
)
def test_a_locale_decides_and_a_mark_that_it_does_not_know_is_refused(
    locale: str, text: str, value: str | None
) -> None:
    if value is None:
        with pytest.raises(Refused, match=f"is not a figure as {locale} writes them"):
            locales.style(locale).read(text)
    else:
        assert locales.style(locale).read(text) == D(value)


def test_the_refusal_says_what_to_write() -> None:
    with pytest.raises(Refused, match=r"1\.250,5\. Write 1,5\.$"):
        locales.style("de-DE").read("1.5")
    with pytest.raises(Refused, match=r"Write 1,250, or 1250\.$"):
        locales.style("fi-FI").read("1.250")


@given(
    value=st.decimals(allow_nan=False, allow_infinity=False, places=4, min_value=-10_000_000, max_value=10_000_000),
    locale=st.sampled_from(["", "en-US", "de-DE", "fr-FR", "de-CH", "es-ES", "pl-PL", "en-IN", "ja-JP", "sv-SE"]),
)
def test_a_box_is_read_back_as_it_was_filled(value: D, locale: str) -> None:
    style = locales.style(locale)
    assert style.read(style.typed(value)) == value
    if locale:
        assert style.read(style.number(value)) == value


def test_kept_words_and_addresses_are_read_without_a_question() -> None:
    assert (PLAIN.read("1.250"), PLAIN.read("1,250"), PLAIN.read("-3")) == (D("1.25"), D("1.25"), D(-3))
    with pytest.raises(Refused):
        PLAIN.read("1 250")


@pytest.mark.parametrize(
    ("typed", "kept"), [("EN_us", "en-US"), ("zh-CN", "zh-Hans-CN"), (" de-de ", "de-DE"), ("fi", "fi")]
)
def test_a_locale_is_known_whatever_its_capitals(typed: str, kept: str) -> None:
    assert locales.known(typed) == kept


@pytest.mark.parametrize(
    ("typed", "near"),
    [("de-XX", "de-"), ("en-UZ", "en-"), ("Deutschland", "de-"), ("German", "de-DE"), ("qq", "such as en-US")],
)
def test_a_locale_that_does_not_exist_is_refused_with_near_ones(typed: str, near: str) -> None:
    with pytest.raises(Refused, match=f"“{typed}” is not a locale known here; .*{near}"):
        locales.known(typed)


def test_the_words_of_a_date_stay_english_and_its_order_is_the_locales() -> None:
    on = date(2026, 3, 5)
    assert [locales.style(name).date(on, weekday=True, year=False) for name in ("en-US", "de-DE", "sv-SE", "")] == [
        *("Thu, Mar 5", "Thu 05.03.", "Thu 5 Mar", "Thu 5 Mar")
    ]
    assert locales.style("en-US").date(on, full=True) == "March 5, 2026"
    assert locales.style("pt-BR").date(on) == "05/03/2026"


def test_every_locale_writes_a_figure_and_a_day_in_plain_signs() -> None:
    on = date(2026, 3, 5)
    for name, _ in locales.locales():
        style = locales.style(name)
        with formats.using(style):
            written = f"{formats.figure(D('-1234567.5'))} {formats.day(on)} {formats.day(on, year=False)}"
        assert style.read(style.number(D("-1234567.5"))) == D("-1234567.5"), name
        assert "2026" in written, name
        assert not any(sign in written for sign in "\u200e\u200f\u061c"), name
