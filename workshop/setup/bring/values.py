"""How the cells of a column are read: a column tells its own number style and order of dates, and one cell's marks do not.

Refuses what is doubtful with the reason in a few words, to stand behind the cell's address. Knows no database.
"""

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation

from inventory import units
from inventory.errors import Refused
from workshop.setup.bring.book import Value

# What people write before or behind a sum, and the currencies that write it so.
SIGNS: dict[str, tuple[str, ...]] = {
    "$": ("USD", "CAD", "AUD", "NZD", "SGD", "HKD", "MXN"),
    "€": ("EUR",),
    "£": ("GBP",),
    "¥": ("JPY", "CNY"),
    "kr": ("SEK", "NOK", "DKK", "ISK"),
    "zł": ("PLN",),
    "us$": ("USD",),
    "euro": ("EUR",),
    "eur": ("EUR",),
    "usd": ("USD",),
    "gbp": ("GBP",),
    "dollars": ("USD", "CAD", "AUD", "NZD"),
    **{code.lower(): (code,) for code in ("CAD", "AUD", "NZD", "SEK", "NOK", "DKK", "CHF", "PLN", "CZK", "JPY", "ISK")},
}
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_FIGURE = re.compile(r"[\d.,'’\u202f ]*\d[.,]?")
_SLASHED = re.compile(r"(\d{1,4})\s*([/.\-])\s*(\d{1,2})(?:\s*[/.\-]\s*(\d{1,4}))?\.?", re.ASCII)
_WORDED = re.compile(
    r"(?:(\d{1,2})(?:st|nd|rd|th)?[\s.\-]+)?([A-Za-z]{3,9})\.?[\s\-]*(?:(\d{1,2})(?:st|nd|rd|th)?,?\s+)?(\d{4}|'?\d{2})?"
)
_MEASURE = re.compile(r"(?P<number>[-+(]?[\d.,'’/½¼¾ ]*[\d½¼¾])\)?\s*(?P<unit>[^\W\d].*)?")
_PACKS = re.compile(r"(?P<packs>\d{1,4})\s*[x×*@]\s*(?P<rest>.*\d.*)", re.IGNORECASE)
_TWO_FIGURES = 70


@dataclass(frozen=True)
class Style:
    """How a column writes: its decimal mark ("" while nothing tells), and days first ("d"), months first ("m") or unknown."""

    decimal: str = ""
    order: str = ""
    year: int | None = None


class Unread(Refused):
    """A cell that cannot be read without asking; `asks` names the question that would settle it."""

    def __init__(self, why: str, *, asks: str = "") -> None:
        super().__init__(why)
        self.asks = asks


def decimal_mark(texts: Iterable[str]) -> str:
    """The decimal mark of a column, told by all of its cells; "" where none of them tells, "?" where they contradict.

    >>> decimal_mark(["1,200.00", "35"]), decimal_mark(["1.200", "3,5"]), decimal_mark(["1,200"]), decimal_mark(["1,5", "2.5"])
    ('.', ',', '', '?')
    """
    found: set[str] = set()
    for text in texts:
        figure = _figure(text)
        last = max(figure.rfind("."), figure.rfind(","))
        if last < 0:
            continue
        mark, other = figure[last], "," if figure[last] == "." else "."
        if other in figure:
            found.add(mark)
        elif figure.count(mark) > 1:
            found.add(other)
        elif len(figure) - last - 1 != 3 or figure[:last].strip("0") == "":
            found.add(mark)
    return found.pop() if len(found) == 1 else "?" if found else ""


def _lone(figure: str) -> bool:
    marks = [sign for sign in figure if sign in ".,"]
    return (
        len(marks) == 1 and len(figure.rpartition(marks[0])[2]) == 3 and figure.rpartition(marks[0])[0].strip("0") != ""
    )


def _figure(text: str) -> str:
    found = _FIGURE.search(unicodedata.normalize("NFKC", text))
    return re.sub(r"['’\u202f ]", "", found[0]).rstrip(".,") if found else ""


def number(text: str, style: Style) -> Decimal:
    """A plain number as its column writes it.

    >>> number("1,200.50", Style(".")), number("1.200", Style(","))
    (Decimal('1200.50'), Decimal('1200'))
    """
    figure = re.sub(r"['’\u202f ]", "", unicodedata.normalize("NFKC", text))
    mark = style.decimal
    if mark in ("", "?"):
        if _lone(figure):
            raise Unread(f"“{text}” could part thousands or decimals", asks="decimal")
        mark = decimal_mark([figure]) or "."
    group = "," if mark == "." else "."
    whole, _, rest = figure.partition(mark)
    sign, whole = (whole[:1], whole[1:]) if whole[:1] in "+-" else ("", whole)
    if group in rest or (group in whole and not re.fullmatch(rf"\d{{1,3}}(\{group}\d{{3}})+", whole)):
        raise Unread(f"“{text}” is written otherwise than the rest of its column")
    try:
        return Decimal(f"{sign}{whole.replace(group, '') or '0'}{'.' + rest if rest else ''}")
    except InvalidOperation:
        raise Unread(f"“{text}” is not a number") from None


def money(value: Value, style: Style, currency: str) -> Decimal:
    """A sum in the books' currency, zero or more.

    >>> money("$1,200.00", Style("."), "USD"), money("35 €", Style(), "EUR")
    (Decimal('1200.00'), Decimal('35'))
    """
    return _not_below(moved(value, style, currency), str(value))


def moved(value: Value, style: Style, currency: str) -> Decimal:
    """A sum in the books' currency with its sign, as a bank writes it.

    >>> moved("(12.50)", Style(), "EUR"), moved("12,50-", Style(), "EUR")
    (Decimal('-12.50'), Decimal('-12.50'))
    """
    if isinstance(value, date):
        raise Unread("a date where money should be")
    if isinstance(value, Decimal):
        return value
    text = unicodedata.normalize("NFKC", value).replace("\u2212", "-").strip()
    below = text.startswith("(") and text.endswith(")")
    bare = text.strip("()").strip()
    said = re.sub(r"[\d.,'’\u202f\s+\-]", "", bare).lower()
    if said:
        known = SIGNS.get(said)
        if known is None:
            raise Unread(f"“{value}” is not a sum of money")
        if currency not in known:
            raise Unread(
                f"“{value}” is not in {currency}, the currency of the books: write what it came to in {currency}"
            )
    figure = re.sub(r"[^\d.,'’\u202f+\-]", "", bare)
    if figure.endswith("-"):
        below, figure = True, figure[:-1]
    if not any(sign.isdigit() for sign in figure):
        raise Unread(f"“{value}” is not a sum of money")
    amount = number(figure.rstrip(".,"), style)
    return -abs(amount) if below else amount


def currency_of(text: str) -> str:
    """The sign or code of a currency in a cell, as `SIGNS` has it; empty without one."""
    said = re.sub(r"[\d.,'’\u202f\s+\-()]", "", unicodedata.normalize("NFKC", text)).lower()
    return said if said in SIGNS else ""


def _not_below(amount: Decimal, text: str) -> Decimal:
    if amount < 0:
        raise Unread(f"“{text}” is below zero: enter what was returned or paid back by hand")
    return amount


@dataclass(frozen=True)
class Measure:
    """An amount with its unit ("" where none is written), `packs` times."""

    amount: Decimal
    unit: str = ""
    packs: Decimal = Decimal(1)


def measure(value: Value, style: Style, words: dict[str, str]) -> Measure:
    """An amount, with its unit where one is written. `words`: what the maker answered for words of several sizes.

    >>> measure("15 lbs", Style(), {}), measure("2 x 25kg", Style(), {})
    (Measure(amount=Decimal('15'), unit='lb', packs=Decimal('1')), Measure(amount=Decimal('25'), unit='kg', packs=Decimal('2')))
    """
    if isinstance(value, date):
        raise Unread("a date where an amount should be")
    if isinstance(value, Decimal):
        return Measure(_positive(value, str(value)))
    if packed := _PACKS.fullmatch(value):
        inner = measure(packed["rest"], style, words)
        return Measure(inner.amount, inner.unit, Decimal(packed["packs"]))
    found = _MEASURE.fullmatch(unicodedata.normalize("NFC", value).strip())
    if found is None:
        raise Unread(f"“{value}” is not an amount")
    text = found["number"].strip()
    if any(sign in text for sign in "/½¼¾"):
        try:
            amount, _ = units.parse(f"{text} piece")
        except Refused:
            raise Unread(f"“{value}” is not an amount") from None
    else:
        amount = number(text.strip("()"), style)
    unit = unit_of(found["unit"], words) if found["unit"] else ""
    return Measure(_positive(-amount if text.startswith("(") else amount, value), unit)


def unit_of(word: str, words: dict[str, str]) -> str:
    """The unit of a word, or of the maker's answer for it."""
    plain = " ".join(word.casefold().strip(" .()").split())
    if words.get(plain):
        return words[plain]
    try:
        return units.canonical(plain)
    except Refused:
        raise Unread(f"“{plain}” needs a unit", asks=f"unit:{plain}") from None


def _positive(amount: Decimal, text: str) -> Decimal:
    if amount <= 0:
        raise Unread(f"“{text}” is not more than nothing")
    return amount


def day(value: Value, style: Style) -> date:
    """A day, by the order that the file's dates tell or the maker said.

    >>> day("13/5/2024", Style()), day("Jan 5, 2024", Style()), day("1/5/2024", Style(order="m"))
    (datetime.date(2024, 5, 13), datetime.date(2024, 1, 5), datetime.date(2024, 1, 5))
    """
    if isinstance(value, date):
        return value
    if isinstance(value, Decimal):
        raise Unread(f"“{value}” is a number where a date should be")
    text = value.strip()
    try:
        return _slashed(text, style) or _worded(text, style) or _no_day(value)
    except ValueError:
        raise Unread(f"“{value}” is not a date of the calendar") from None


def _no_day(value: str) -> date:
    raise Unread(f"“{value}” is not a date")


def _slashed(text: str, style: Style) -> date | None:
    found = _SLASHED.fullmatch(text)
    if found is None:
        return None
    first, mark, second, last = found[1], found[2], int(found[3]), found[4]
    if len(first) == 4:
        return date(int(first), second, int(last or 0))
    if len(first) > 2:
        return None
    year = _year(last, style)
    if year is None:
        raise Unread(f"“{text}” has no year")
    order = "d" if mark == "." else "d" if int(first) > 12 else "m" if second > 12 else style.order
    if not order and int(first) != second:
        raise Unread(f"“{text}” could be two days", asks="date_order")
    return date(year, second, int(first)) if order == "d" else date(year, int(first), second)


def order_of(texts: Iterable[str]) -> str:
    """What the dates of a file tell of their order: "d", "m", or "" where none or both do.

    >>> order_of(["1/5/2024", "1/25/2024"]), order_of(["1/5/2024"]), order_of(["25/1/24", "1/25/24"])
    ('m', '', '')
    """
    found = set()
    for text in texts:
        parts = _SLASHED.fullmatch(text.strip())
        if parts is None or parts[2] == "." or len(parts[1]) > 2:
            continue
        if int(parts[1]) > 12:
            found.add("d")
        elif int(parts[3]) > 12:
            found.add("m")
    return found.pop() if len(found) == 1 else ""


def _worded(text: str, style: Style) -> date | None:
    found = _WORDED.fullmatch(text)
    if found is None or found[2][:3].lower() not in _MONTHS:
        return None
    year = _year(found[4], style)
    on = found[1] or found[3]
    if year is None or on is None:
        raise Unread(f"“{text}” is not a whole date")
    return date(year, _MONTHS.index(found[2][:3].lower()) + 1, int(on))


def _year(text: str | None, style: Style) -> int | None:
    if text is None:
        return style.year
    year = int(text.strip("'"))
    if year >= 100:
        return year
    return year + (1900 if year >= _TWO_FIGURES else 2000)
