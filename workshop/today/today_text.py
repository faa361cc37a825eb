"""What Today says of the work that is due: which mark, in which words, and what one tap writes.

Owns words only. What is due, where and at what risk comes from
`costing.make.steps.agenda.selectors`; nothing is decided or written here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from costing.make.recipes.models import RecipeStep, TaskKind
from costing.make.steps.agenda.selectors import Task
from costing.make.steps.schedule import Due
from inventory import formats
from inventory.web.forms import fresh_key

NUMBERS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven", "Twelve")

# So many skins are named one by one; of more, the first few.
NAMED, FIRST = 8, 4
MARKS = {"overdue": ("late", "late"), "due": ("now", "due today"), "coming": ("wait", "coming")}


@dataclass(frozen=True)
class Line:
    """One task as a line of Today. `kind` and `minutes` are what the one tap logs, `entry` is what it is called."""

    task: Task
    mark: str
    mark_word: str
    when: str
    entry: str
    kind: str
    minutes: int
    request_key: str

    @property
    def cautions(self) -> tuple[str, ...]:
        """What stands under the task: the first, which is the recipe's own where it has one. Those of what goes in are folded."""
        return () if self.coming or self.task.addition else self.task.cautions[:1]

    @property
    def more_cautions(self) -> tuple[str, ...]:
        return self.task.cautions[len(self.cautions) :]

    @property
    def skins(self) -> str:
        """Who is in it; of a crowd the first few and how many more, for the tub is one walk however many lie in it."""
        return some(self.task.skins)

    @property
    def to_pour(self) -> bool:
        """A step that lasts begins when something is put in work: a tap that logs it done would end it."""
        return self.task.due.to_begin and self.task.of > 0 and not self.task.addition

    @property
    def to_time(self) -> bool:
        """Softening that is due: the timer answers it."""
        step = self.task.step
        return step is not None and step.kind == TaskKind.SOFTEN and not self.coming

    @property
    def to_weigh(self) -> bool:
        """Skins that hang on frames: their weight tells when they are dry."""
        step = self.task.step
        return step is not None and step.uses == RecipeStep.Uses.FRAME and bool(self.task.skins)

    @property
    def coming(self) -> bool:
        return self.task.due.state == "coming"


def line(task: Task, on: date) -> Line:
    """The words and the tap of one task."""
    mark, word = MARKS[task.due.state]
    return Line(
        task=task,
        mark=mark,
        mark_word=word,
        when=" · ".join(filter(None, (_when(task, on), "" if task.due.to_begin else nth(task.nth, task.of)))),
        entry=f"{task.due.words}, {task.batch.number}",
        kind="repeat" if task.due.is_repeat else "done",
        # Nobody in the batch could bear minutes, or a timer writes them: the step is logged without them.
        minutes=task.due.minutes if task.skins and not task.timed else 0,
        request_key=fresh_key(),
    )


def _when(task: Task, on: date) -> str:
    """An addition that is late is late; what that does to the bath is not known here."""
    late = task.due.late_days
    if task.addition and late:
        return f"{'a day' if late == 1 else f'{late} days'} late{' to begin' if task.due.to_begin else ''}"
    return when(task.due, on)


def when(due: Due, on: date) -> str:
    """How late, or when.

    >>> from costing.make.steps import schedule
    >>> steps, start = [schedule.Step("oil", "Oil", grace_days=2)], date(2025, 1, 20)
    >>> [when(schedule.dues(steps, start, [], date(2025, 1, day))[0], date(2025, 1, day)) for day in (19, 20, 21, 23)]
    ['tomorrow', 'today', 'a day late, safe until Wed 22 January', '3 days late: it does harm now']
    >>> when(schedule.dues(steps, start, [], date(2025, 1, 23), begun=False, anyone=False)[0], date(2025, 1, 23))
    '3 days late to begin'
    """
    if due.state == "due":
        return "today"
    if due.state == "coming":
        return "tomorrow" if due.due == on + timedelta(days=1) else day(due.due)
    late = "a day late" if due.late_days == 1 else f"{due.late_days} days late"
    if due.to_begin:
        return f"{late} to begin{': it does harm now' if due.harms else ''}"
    if due.harms and not due.is_repeat:
        return f"{late}: it does harm now"
    return late if due.is_repeat else f"{late}, safe until {day(due.latest)}"


def nth(day_of_step: int, lasts: int) -> str:
    """How far the step is.

    >>> nth(5, 11), nth(13, 11), nth(0, 11), nth(0, 0)
    ('day 5 of 11', 'day 13, 11 planned', '', '')
    """
    if not lasts or not day_of_step:
        return ""
    return f"day {day_of_step} of {lasts}" if day_of_step <= lasts else f"day {day_of_step}, {lasts} planned"


def some(tags: Sequence[str]) -> str:
    """Tags in words, a crowd cut short.

    >>> some(["H01", "H02"]), some([f"H{nth:02}" for nth in range(1, 31)])
    ('H01, H02', 'H01, H02, H03, H04 and 26 more')
    """
    if len(tags) <= NAMED:
        return ", ".join(tags)
    return f"{', '.join(tags[:FIRST])} and {len(tags) - FIRST} more"


def heading(count: int) -> str:
    """The heading of Today when something needs hands.

    >>> heading(1), heading(3), heading(13)
    ('One task due', 'Three tasks due', '13 tasks due')
    """
    number = NUMBERS[count] if count < len(NUMBERS) else str(count)
    return f"{number} task{'s' if count != 1 else ''} due"


def minutes(count: int) -> str:
    """How long the hands are wanted.

    >>> minutes(0), minutes(40), minutes(60), minutes(150), minutes(840)
    ('', 'About 40 minutes', 'About an hour', 'About 2 h 30 min', 'About 14 h')
    """
    if not count:
        return ""
    if count == 60:
        return "About an hour"
    if count < 90:
        return f"About {count} minutes"
    return f"About {count // 60} h{f' {count % 60:02} min' if count % 60 else ''}"


def day(on: date) -> str:
    """A day as the pages write it: Wed 22 January."""
    return formats.day(on, weekday=True, full=True, year=False)
