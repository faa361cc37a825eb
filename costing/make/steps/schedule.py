"""A batch's steps on the calendar: what began, what is due, what is late, what it would take to be done by a date.

Owns the reckoning of days from a recipe's steps and what was logged of them. Must not know recipes, read a database,
look at the clock or choose how long a step lasts: those days are the maker's own. What holds a place is `plans.rules`.

Steps run one after another. A step begins `wait_days` after the one before it ended, the first after the batch's start.
With no days to last it is due on the day it begins; otherwise the skins stay in it and it is due to end that much later.
Late, early and skipped steps shift everything that follows, because the next step is counted from the day logged.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal

from costing.make.errors import StepNotReady

Uses = Literal["", "tub", "frame"]
Kind = Literal["done", "skipped", "repeat"]
State = Literal["overdue", "due", "coming"]
Standing = Literal["done", "skipped", "ahead", "coming", "open", "late", "past", "late to begin"]
AHEAD_DAYS = 3


@dataclass(frozen=True)
class Step:
    """One step of a recipe. Days are whole days; minutes are of hands, once and for each repeat.

    `grace_days` after it is due the step is still safe; beyond that, lateness does harm. `every_days` above zero:
    while it lasts, `repeat_name` (turn, drain) is due that often after it began, but not on the day it ends.
    """

    key: str
    name: str
    lasts_days: int = 0
    grace_days: int = 0
    wait_days: int = 0
    every_days: int = 0
    repeat_name: str = ""
    hands_minutes: int = 0
    repeat_minutes: int = 0
    uses: Uses = ""

    def __post_init__(self) -> None:
        days = (self.lasts_days, self.grace_days, self.wait_days, self.every_days)
        if min(*days, self.hands_minutes, self.repeat_minutes) < 0:
            raise ValueError(f"days and minutes of a step cannot be below zero: {self}")
        if bool(self.every_days) != bool(self.repeat_name):
            raise ValueError(f"a repeat needs both a name and how many days apart: {self}")
        if self.every_days and not self.lasts_days:
            raise ValueError(f"a step that lasts no days has nothing to repeat: {self}")

    @property
    def repeats(self) -> int:
        """How often it repeats by plan, not on the day it ends."""
        return (self.lasts_days - 1) // self.every_days if self.every_days else 0


@dataclass(frozen=True)
class Mark:
    """What was logged: `done` and `skipped` end a step that day; `repeat` answers every repeat due up to that day."""

    step: str
    on: date
    kind: Kind


@dataclass(frozen=True)
class Laid:
    """A step on the calendar. `repeats_due` is the next repeat to do; none once it has ended or where none is left."""

    step: Step
    begins: date
    due: date
    latest: date
    ended: date | None = None
    skipped: bool = False
    repeats_due: date | None = None


@dataclass(frozen=True)
class Due:
    """One thing for the hands. `late_days` counts from `due`; past `latest`, being late does harm.

    `to_begin`: nothing of the batch has begun, so late is late to begin; with `anyone` in it, that may harm as well.
    """

    step: str
    words: str
    due: date
    latest: date
    late_days: int
    state: State
    is_repeat: bool
    minutes: int
    to_begin: bool = False
    anyone: bool = True

    @property
    def harms(self) -> bool:
        return self.anyone and self.late_days > (self.latest - self.due).days


def lay_out(
    steps: Sequence[Step], start: date, marks: Iterable[Mark], *, today: date | None = None
) -> tuple[Laid, ...]:
    """Every step on its dates, counted from what was logged and, beyond that, from what is planned.

    begins = end of the step before + wait; due = begins + lasts; latest = due + grace. A step not yet ended hands on its
    due day, or `today` where that is later. Raises `StepNotReady` for a log that cannot have happened: dates going
    back, a step that is not in the recipe, not begun, already over, or with nothing to repeat.

    >>> bath = Step("bath", "Alum bath", lasts_days=11, every_days=1, repeat_name="Turn")
    >>> [laid.due.isoformat() for laid in lay_out([bath, Step("oil", "Oil", wait_days=1)], date(2025, 1, 20), [])]
    ['2025-01-31', '2025-02-01']
    """
    ends, repeated = _follow(steps, start, marks)
    found: list[Laid] = []
    free = start
    for step in steps:
        laid = _laid(step, free, ends.get(step.key), repeated.get(step.key))
        found.append(laid)
        free = laid.ended or max(laid.due, today or laid.due)
    return tuple(found)


def standing(laid: Laid, on: date, *, turn: bool = True) -> Standing:
    """How a step stands on a day: over, ahead of the one whose `turn` it is, or that one itself.

    Its turn may still be coming: a step begins on its day, not as soon as the one before it has ended.

    >>> plan = lay_out([Step("oil", "Oil", grace_days=1)], date(2025, 1, 20), [])[0]
    >>> [standing(plan, date(2025, 1, day)) for day in (19, 20, 21, 22)]
    ['coming', 'open', 'late', 'past']
    """
    if laid.ended:
        return "skipped" if laid.skipped else "done"
    if not turn:
        return "ahead"
    if on < laid.begins:
        return "coming"
    if on > laid.due:
        return "past" if on > laid.latest else "late"
    return "open"


def dues(
    steps: Sequence[Step],
    start: date,
    marks: Iterable[Mark],
    on: date,
    *,
    ahead_days: int = AHEAD_DAYS,
    begun: bool = True,
    anyone: bool = True,
) -> list[Due]:
    """What the step that is open on a day asks for, most urgent first: its repeat, and its own doing or taking out.

    Overdue after its day, due on it, coming within `ahead_days` before it; nothing when all steps have ended. A repeat
    has no days of grace, and goes on while its step is late, so that skins left in are still turned. Of a batch that has
    not `begun` nothing is asked but to begin; with nobody (`anyone`) in it, being late harms nothing.

    >>> bath = Step("bath", "Take out", lasts_days=11, grace_days=3, every_days=1, repeat_name="Turn")
    >>> [(due.words, due.state, due.late_days) for due in dues([bath], date(2025, 1, 20), [], date(2025, 1, 23))]
    [('Turn', 'overdue', 2)]
    """
    laid = next((each for each in lay_out(steps, start, marks) if each.ended is None), None)
    if laid is None:
        return []
    if not begun:
        first = _to_begin(laid, on, anyone=anyone)
        return [first] if first.due <= on + timedelta(days=ahead_days) else []
    found = [_due(laid.step, laid.due, laid.latest, on)]
    if laid.repeats_due and (laid.repeats_due < laid.due or laid.repeats_due <= on):
        found.append(_due(laid.step, laid.repeats_due, laid.repeats_due, on, repeat=True))
    return sorted((due for due in found if due.due <= on + timedelta(days=ahead_days)), key=urgency)


def urgency(due: Due) -> tuple[bool, bool, int, date]:
    """Sort key over all batches: what harms already, then what perishes soonest (least grace), then the older date.

    What is only coming stands after everything that is due.
    """
    return not due.harms, due.state == "coming", (due.latest - due.due).days, due.due


def repeat_dates(laid: Laid) -> tuple[date, ...]:
    """The days on which a step's repeat is planned: none on the day it ends.

    >>> bath = Step("bath", "Alum bath", lasts_days=4, every_days=1, repeat_name="Turn")
    >>> [day.day for day in repeat_dates(lay_out([bath], date(2025, 1, 20), [])[0])]
    [21, 22, 23]
    """
    return tuple(_after(laid.begins, laid.step.every_days * nth) for nth in range(1, laid.step.repeats + 1))


def waiting_days(steps: Iterable[Step]) -> int:
    """Days from the start to the planned end, no grace spent: the sum of what steps wait and last.

    >>> waiting_days([Step("bath", "Alum bath", lasts_days=11), Step("oil", "Oil", wait_days=1)])
    12
    """
    return sum(step.wait_days + step.lasts_days for step in steps)


def hands_minutes_total(steps: Iterable[Step]) -> int:
    """Minutes of hands that the steps plan, repeats included.

    >>> hands_minutes_total([Step("b", "Bath", 11, every_days=1, repeat_name="Turn", hands_minutes=30, repeat_minutes=6)])
    90
    """
    return sum(step.hands_minutes + step.repeats * step.repeat_minutes for step in steps)


def _after(day: date, days: int) -> date:
    return day + timedelta(days=days)


def asked(key: str, words: str, due: date, latest: date, on: date) -> Due:
    """One thing as it stands on a day: overdue after its day, due on it, coming before it."""
    late = (on - due).days
    state: State = "overdue" if late > 0 else "coming" if late < 0 else "due"
    return Due(
        step=key, words=words, due=due, latest=latest, late_days=max(0, late), state=state, is_repeat=False, minutes=0
    )


def _due(step: Step, due: date, latest: date, on: date, *, repeat: bool = False) -> Due:
    words, minutes = (step.repeat_name, step.repeat_minutes) if repeat else (step.name, step.hands_minutes)
    return replace(asked(step.key, words, due, latest, on), is_repeat=repeat, minutes=minutes)


def _to_begin(laid: Laid, on: date, *, anyone: bool) -> Due:
    """The first step of a plan. One that lasts is called by its own name: what its hands do comes at its end."""
    step, latest = laid.step, laid.latest
    if step.lasts_days:
        step, latest = replace(step, name=step.key, hands_minutes=0), laid.begins
    return replace(_due(step, laid.begins, latest, on), to_begin=True, anyone=anyone)


def _laid(step: Step, free: date, end: Mark | None, repeated: date | None) -> Laid:
    begins = _after(free, step.wait_days)
    if end and end.kind == "skipped":
        # Skipping needs no waiting, so it may fall before the day the step would have begun.
        begins = min(begins, end.on)
    due = _after(begins, step.lasts_days)
    again = None
    if step.every_days and end is None:
        again = _after(repeated or begins, step.every_days)
        if again == due:
            again = _after(again, step.every_days)
    return Laid(
        step=step,
        begins=begins,
        due=due,
        latest=_after(due, step.grace_days),
        ended=end.on if end else None,
        skipped=end is not None and end.kind == "skipped",
        repeats_due=again,
    )


def _follow(steps: Sequence[Step], start: date, marks: Iterable[Mark]) -> tuple[dict[str, Mark], dict[str, date]]:
    """The mark that ended each step and the last repeat of each; refuses a log that cannot have happened."""
    places = {step.key: place for place, step in enumerate(steps)}
    if len(places) != len(steps):
        raise ValueError(f"steps must have keys of their own, got {[step.key for step in steps]}")
    ends: dict[str, Mark] = {}
    repeated: dict[str, date] = {}
    last = free = start
    for mark in marks:
        if mark.step not in places:
            raise StepNotReady(mark.step, mark.step, mark.on, "the recipe has no such step", "Choose one it has.")
        step = steps[places[mark.step]]
        if mark.on < start:
            raise StepNotReady(step.key, step.name, mark.on, f"the batch starts on {start}", "Use a later date.")
        _check(mark, step, steps[len(ends) :], ends, last, _after(free, step.wait_days))
        if mark.kind == "repeat":
            repeated[step.key] = mark.on
        else:
            ends[step.key], free = mark, mark.on
        last = mark.on
    return ends, repeated


def _check(mark: Mark, step: Step, to_come: Sequence[Step], ends: dict[str, Mark], last: date, begins: date) -> None:
    over = ends.get(step.key)
    if over:
        why, remedy = f"it was {over.kind} on {over.on}", "Reverse that entry first, or log the step that follows."
    elif mark.on < last:
        why, remedy = f"the batch is already at {last}", f"Use {last} or a later date, or undo the later entries first."
    elif to_come[0] is not step:
        why, remedy = f"“{to_come[0].name}” comes before it", "Log that as done or skipped first."
    elif mark.kind != "skipped" and mark.on < begins:
        why, remedy = f"it begins on {begins}", "Use that date or a later one, or skip the step."
    elif mark.kind == "repeat" and not step.every_days:
        why, remedy = "nothing in it repeats", "Log it as done instead."
    else:
        return
    raise StepNotReady(step.key, step.name, mark.on, why, remedy)
