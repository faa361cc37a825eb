"""How figures and days are written for people, and how a typed figure is read: one style holds on every page and paper.

Owns the marks of a number, the place of a currency's sign, the order of a date and what may stand between digits. It works on
text alone, so that a page can call it hundreds of times. Files and `--json` never pass here: they keep a plain point and ISO
dates. It must not round (see `money.half_up`), and knows no database and no list of locales: `inventory.base.locales` makes
the style of one, and `inventory.base.selectors.at_home` says which holds within a request.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from inventory.errors import Refused

NARROW_SPACE = "\u202f"
HARD_SPACE = "\u00a0"
MINUS = "\u2212"
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")

MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)

SIGNS = {"EUR": "€", "GBP": "£", "USD": "$"}
_SPACES = re.compile("[\u0020\u00a0\u2009\u202f]")
_APOSTROPHES = str.maketrans("\u2019\u02bc", "''")
_DIGITS = re.compile(r"\d{1,40}", re.ASCII)
_FIGURE = re.compile(r"\d{0,40}(?:\.\d{1,40})?", re.ASCII)
_UNCERTAIN = re.compile(r"([1-9]\d{0,2})[.,](\d{3})", re.ASCII)
_ONE_MARK = re.compile(r"(\d{0,40})[.,](\d{1,40})", re.ASCII)
_CANONICAL = re.compile(r"-?(?:\d{1,40}(?:\.\d{1,40})?|\.\d{1,40})", re.ASCII)
_ISO_DAY = re.compile(r"\b\d{4}-\d{2}-\d{2}\b(?!T)", re.ASCII)
_PART = re.compile(r"'[^']*'|d+|M+|L+|y+|[^dMLy']+")


@dataclass(frozen=True)
class Style:
    """How one locale writes. Without a `locale` nobody has chosen: figures as ISO 80000-1 has them, a day before its month.

    `sizes`: digits of the last group and of those before it. `least`: digits that must stand before the first mark. `before` and
    `after` go around an amount, `¤` for the currency's sign; `day` and `short` are CLDR date patterns, with and without a year.
    """

    locale: str = ""
    point: str = "."
    group: str = NARROW_SPACE
    sizes: tuple[int, int] = (3, 3)
    least: int = 1
    before: str = ""
    after: str = f"{HARD_SPACE}¤"
    minus: str = MINUS
    day_pattern: str = "d MMM y"
    short_pattern: str = "d MMM"
    signs: Mapping[str, str] = field(default_factory=lambda: SIGNS, compare=False)

    def number(self, value: Decimal | int | str) -> str:
        """An exact figure with its digits as they are; a `Decimal` keeps its places.

        >>> Style().number(Decimal("-1234.50")) == "−1\u202f234.50"
        True
        """
        sign, digits = _signed(value if isinstance(value, str) else f"{value:f}")
        whole, _, rest = digits.partition(".")
        return f"{self.minus if sign else ''}{self._grouped(whole)}{self.point if rest else ''}{rest}"

    def money(self, value: Decimal, currency: str) -> str:
        """An amount, rounded already, with the currency's sign where the locale has it.

        >>> Style().money(Decimal("1234.50"), "EUR") == "1\u202f234.50\u00a0€"
        True
        """
        sign, digits = _signed(f"{value:f}")
        mark = self.sign(currency)
        before = self.before.replace("¤", mark)
        if self.before.endswith("¤") and mark[-1:].isalpha():
            before += HARD_SPACE
        return f"{self.minus if sign else ''}{before}{self.number(digits)}{self.after.replace('¤', mark)}"

    def sign(self, currency: str) -> str:
        """How a currency is written beside an amount.

        >>> Style().sign("EUR"), Style().sign("SEK")
        ('€', 'SEK')
        """
        return self.signs.get(currency, currency)

    def typed(self, value: Decimal) -> str:
        """A figure as it stands in a box to be changed: no marks between thousands, and `read` has it back.

        Until a locale is chosen, 1.234 would be asked about; it is written with one nought more.

        >>> Style().typed(Decimal("1.50")), Style().typed(Decimal("1.234"))
        ('1.5', '1.2340')
        """
        text = f"{value:f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
        text = "0" if text == "-0" else text
        if not self.locale and _UNCERTAIN.fullmatch(text.removeprefix("-")):
            text += "0"
        return text.replace(".", self.point)

    def read(self, text: str, *, field: str = "") -> Decimal:
        """A figure as typed. Marks of thousands are the locale's own and stand where they belong, or are left out.

        Refused with what to write: a mark that the locale has not, one in a wrong place, and until a locale is chosen three
        digits after a single mark, which may be thousands or decimals.

        >>> Style().read("1 250,5"), Style().read("0.125")
        (Decimal('1250.5'), Decimal('0.125'))
        """
        said = text.strip()
        sign, plain = _signed(_SPACES.sub(" ", said.translate(_APOSTROPHES)).removeprefix("+"))
        found = self._of_locale(plain) if self.locale else _of_any(plain)
        if found is None:
            raise Refused(self._refusal(said, plain, sign), field=field)
        return Decimal(sign + found)

    def date(self, when: date, *, weekday: bool = False, full: bool = False, year: bool = True) -> str:
        """A day: months by name are English, shortened unless `full`; `weekday` puts its name before.

        >>> Style().date(date(2026, 3, 5)), Style().date(date(2026, 3, 5), weekday=True, full=True, year=False)
        ('5 Mar 2026', 'Thu 5 March')
        """
        pattern = self.day_pattern if year else self.short_pattern
        day = "".join(_date_part(part, when, full=full) for part in _PART.findall(pattern))
        if not weekday:
            return day
        name = WEEKDAYS[when.weekday()]
        return f"{name}{',' if pattern.startswith('MMM') else ''} {day}"

    def _grouped(self, whole: str) -> str:
        last, other = self.sizes
        if len(whole) < last + self.least:
            return whole
        head, groups = whole[:-last], [whole[-last:]]
        while head:
            groups.append(head[-other:])
            head = head[:-other]
        return self.group.join(reversed(groups))

    def _of_locale(self, plain: str) -> str | None:
        group = _SPACES.sub(" ", self.group.translate(_APOSTROPHES))
        whole, mark, rest = plain.partition(self.point)
        digits = whole.replace(group, "")
        if not (_FIGURE.fullmatch(digits) and "." not in digits and (digits or rest)):
            return None
        if mark and not _DIGITS.fullmatch(rest):
            return None
        if digits != whole and not _well_placed(whole, digits, group, self.sizes):
            return None
        return f"{digits or '0'}{'.' if rest else ''}{rest}"

    def _refusal(self, said: str, plain: str, sign: str) -> str:
        if not self.locale and (found := _UNCERTAIN.fullmatch(plain)):
            thousands, decimals = f"{sign}{found[1]}{found[2]}", Decimal(f"{sign}{found[1]}.{found[2]}")
            return (
                f"“{said}” may be {thousands} or {decimals.normalize():f}. Write {thousands}, or {self.typed(decimals)}; or choose "
                "how figures are written here in Setup, Where you work."
            )
        example = self.number("1250.5")
        if not self.locale:
            return f"“{said}” is not a figure. Write it like 1250, 1250.5 or {example}."
        hint = ""
        if guess := _ONE_MARK.fullmatch(plain):
            whole, rest = guess.groups()
            hint = f" Write {sign}{whole or '0'}{self.point}{rest}"
            hint += f", or {sign}{whole}{rest}." if _UNCERTAIN.fullmatch(plain) else "."
        return f"“{said}” is not a figure as {self.locale} writes them: {example}.{hint}"


STYLE = Style()


@dataclass(frozen=True)
class _Plain(Style):
    """As files and kept words write: a point or a comma, nothing between thousands, never a question."""

    def read(self, text: str, *, field: str = "") -> Decimal:
        plain = text.strip().replace(",", ".")
        if not _CANONICAL.fullmatch(plain):
            raise Refused(f"“{text}” is not a plain figure. Write it like 1250.5.", field=field)
        return Decimal(plain)


PLAIN = _Plain(group="", minus="-")
_held: ContextVar[Style] = ContextVar("style of figures and days", default=STYLE)


def current() -> Style:
    """The style that holds here."""
    return _held.get()


@contextmanager
def using(style: Style) -> Iterator[None]:
    """Within this block figures and days are written in that style."""
    token = _held.set(style)
    try:
        yield
    finally:
        _held.reset(token)


def _signed(text: str) -> tuple[str, str]:
    text = text.strip()
    return ("-", text[1:].strip()) if text[:1] in ("-", MINUS) else ("", text)


def _well_placed(whole: str, digits: str, group: str, sizes: tuple[int, int]) -> bool:
    """Whether marks stand where they belong: between whole groups, and never after a nought, which begins no thousands."""
    return digits[:1] != "0" and whole == Style(group=group, sizes=sizes)._grouped(digits)


def _of_any(plain: str) -> str | None:
    """A figure where no locale is chosen: what can be read in one way only, point or comma, thousands apart by any mark."""
    if _UNCERTAIN.fullmatch(plain):
        return None
    for point in ".,":
        whole, mark, rest = plain.partition(point)
        if (mark and not _DIGITS.fullmatch(rest)) or not (whole or rest):
            continue
        for group in (" ", "'", *(".,".replace(point, ""))):
            digits = whole.replace(group, "")
            if digits and not _DIGITS.fullmatch(digits):
                continue
            if digits == whole or _well_placed(whole, digits, group, (3, 3)):
                return f"{digits or '0'}{'.' if rest else ''}{rest}"
    return None


def _date_part(part: str, when: date, *, full: bool) -> str:
    if part[0] == "d":
        return f"{when.day:0{len(part)}d}"
    if part[0] in "ML":
        if len(part) <= 2:
            return f"{when.month:0{len(part)}d}"
        return MONTHS[when.month - 1] if full else MONTHS[when.month - 1][:3]
    if part[0] == "y":
        return str(when.year)
    return part.strip("'")


def figure(value: Decimal | int | str) -> str:
    """A figure for people, its digits as they are."""
    return current().number(value)


def plain(value: Decimal) -> str:
    """A figure for people without needless noughts.

    >>> plain(Decimal("1.900"))
    '1.9'
    """
    return current().number(f"{value.normalize():f}")


def day(when: date, *, weekday: bool = False, full: bool = False, year: bool = True) -> str:
    """A day for people.

    >>> day(date(2026, 1, 7))
    '7 Jan 2026'
    """
    return current().date(when, weekday=weekday, full=full, year=year)


def dated(sentence: str) -> str:
    """A refusal as a page says it: its days, which commands and files write year first, as the chosen locale has them.

    >>> dated("It moved on 2026-03-05.")
    'It moved on 2026-03-05.'
    """
    return _ISO_DAY.sub(_told_day, sentence) if current().locale else sentence


def _told_day(found: re.Match[str]) -> str:
    try:
        return day(date.fromisoformat(found[0]))
    except ValueError:  # it quotes what is no day
        return found[0]


def month(when: date) -> str:
    """The month of a day, in words.

    >>> month(date(2025, 1, 20))
    'January 2025'
    """
    return f"{MONTHS[when.month - 1]} {when.year}"
