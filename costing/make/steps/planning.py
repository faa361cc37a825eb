"""A batch's steps on the calendar: what began, what is due, what is late, what it would take to be done by a date.

Owns the reckoning of days from a recipe's steps and what was logged of them. Must not know recipes, read a database,
look at the clock or choose how long a step lasts: those days are the maker's own. What holds a place, and whether two
batches want it at once, is `costing.make.steps.plans.rules`.

Steps run one after another. A step begins `wait_days` after the one before it ended, the first after the batch's start.
With no days to last it is due on the day it begins; otherwise the skins stay in it and it is due to end that much later.
Late, early and skipped steps shift everything that follows, because the next step is counted from the day logged.
"""

from collections.abc import Iterable
from datetime import date

from costing.make.steps.schedule import Laid, Step, _after, _repeats


def repeat_dates(laid: Laid) -> tuple[date, ...]:
    """The days on which a step's repeat is planned, for the boxes of a batch card: none on the day it ends.

    >>> from costing.make.steps.schedule import lay_out
    >>> bath = Step("bath", "Alum bath", lasts_days=4, every_days=1, repeat_name="Turn")
    >>> [day.day for day in repeat_dates(lay_out([bath], date(2025, 1, 20), [])[0])]
    [21, 22, 23]
    """
    step = laid.step
    return tuple(_after(laid.begins, step.every_days * nth) for nth in range(1, _repeats(step) + 1))


def waiting_days(steps: Iterable[Step]) -> int:
    """Days from the start to the planned end: the sum of what steps wait and last.

    >>> waiting_days([Step("bath", "Alum bath", lasts_days=11), Step("oil", "Oil", wait_days=1)])
    12
    """
    return sum(step.wait_days + step.lasts_days for step in steps)


def hands_minutes_total(steps: Iterable[Step]) -> int:
    """Minutes of hands that the steps plan, repeats included.

    >>> hands_minutes_total([Step("b", "Bath", 11, every_days=1, repeat_name="Turn", hands_minutes=30, repeat_minutes=6)])
    90
    """
    return sum(step.hands_minutes + _repeats(step) * step.repeat_minutes for step in steps)


def latest_start(steps: Iterable[Step], finish: date) -> date:
    """The last day to begin so that the plan ends by `finish`; grace is not spent on it.

    >>> latest_start([Step("bath", "Alum bath", lasts_days=11)], date(2025, 1, 31))
    datetime.date(2025, 1, 20)
    """
    return _after(finish, -waiting_days(steps))
