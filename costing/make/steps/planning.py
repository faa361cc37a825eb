"""What a recipe's steps plan before anything is logged: their days, their minutes of work, and when to begin at the latest.

Counts as `schedule` does. Must not know recipes, read a database or look at the clock.
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
