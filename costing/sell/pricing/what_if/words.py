"""What changes if something happens, line by line: as it is now, as it would be, and the difference in a word.

Owns the comparing and the words of it. Must not read a database.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory import formats, money, units
from inventory.foresight import words
from inventory.foresight.advice import Advice
from inventory.foresight.selectors import PRESSING, Outlook
from inventory.models import Material

NEVER = "–"
NOTHING_TO_BUY = "nothing"


@dataclass(frozen=True)
class Line:
    """`now` empty: there is nothing to compare with. `word` says how `then` differs; empty where it does not."""

    label: str
    now: str
    then: str
    word: str = ""


@dataclass(frozen=True)
class Changed:
    """A material that stands otherwise, and how; `mark` is the look of its state then. `later`: nothing of it presses, and no more
    than its days change."""

    material: Material
    mark: str
    state: Line
    order_by: Line
    runs_out: Line
    buy: Line
    cost: Line

    @property
    def lines(self) -> tuple[Line, ...]:
        return self.state, self.order_by, self.runs_out, self.buy, self.cost

    @property
    def later(self) -> bool:
        return self.mark == "ok" and not (self.state.word or self.buy.word or self.cost.word)


def changed(now: Outlook, then: Outlook, buy_now: Advice, buy_then: Advice, currency: str) -> Changed | None:
    """How a material would stand; None where nothing of it changes."""
    found = Changed(
        material=then.material,
        mark=words.mark(then.forecast),
        state=_state(now, then),
        order_by=_day("Order by", now.forecast.order_by, then.forecast.order_by),
        runs_out=_day("Runs out", now.forecast.runs_out_on, then.forecast.runs_out_on),
        buy=_bought(now.material, buy_now, buy_then),
        cost=_cost(buy_now, buy_then, currency),
    )
    return found if any(line.word for line in found.lines) else None


def _state(now: Outlook, then: Outlook) -> Line:
    before, after = words.state(now.forecast), words.state(then.forecast)
    was, is_ = ((PRESSING[each.state], each.order_by or date.max) for each in (now.forecast, then.forecast))
    word = "more pressing" if is_ < was else "less pressing" if is_ > was else "changed"
    return Line("State", before, after, word if before != after else "")


def _day(label: str, now: date | None, then: date | None) -> Line:
    before, after = (formats.day(day) if day else NEVER for day in (now, then))
    return Line(label, before, after, moved(now, then))


def moved(now: date | None, then: date | None) -> str:
    """11 days earlier, 1 day later, or that there was no day before, or is none any more."""
    if now == then:
        return ""
    if now is None or then is None:
        return "new" if now is None else "no longer"
    days = abs((then - now).days)
    return f"{days} day{'' if days == 1 else 's'} {'earlier' if then < now else 'later'}"


def _bought(material: Material, now: Advice, then: Advice) -> Line:
    more = then.lot.quantity - now.lot.quantity
    word = f"{units.show(abs(more), material.unit)} {'more' if more > 0 else 'less'}" if more else ""
    before, after = (words.packs(each.lot, material) or NOTHING_TO_BUY for each in (now, then))
    return Line("Buy", before, after, word)


def _cost(now: Advice, then: Advice, currency: str) -> Line:
    """About what it costs with its carriage; without a price nothing is said."""
    sums = [each.cost if each.lot.quantity else None for each in (now, then)]
    before, after = (NEVER if each is None else money.show(each, currency) for each in sums)
    return Line("Cost", before, after, _more(sums[0] or Decimal(0), sums[1] or Decimal(0), currency))


def sums(label: str, now: Decimal | None, then: Decimal, currency: str) -> Line:
    """A sum of money; `now` None where there is nothing to compare with."""
    if now is None:
        return Line(label, "", money.show(then, currency))
    return Line(label, money.show(now, currency), money.show(then, currency), _more(now, then, currency))


def _more(now: Decimal, then: Decimal, currency: str) -> str:
    return f"{money.show(abs(then - now), currency)} {'more' if then > now else 'less'}" if then != now else ""
