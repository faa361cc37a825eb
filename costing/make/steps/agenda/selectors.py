"""What is due in the shed on a day, steps and additions: over all live batches, by place, with what each delay puts at risk.

Owns which batches are live and what is at risk in them; the days come from `costing.make.steps.schedule`. The number of
queries does not grow with the number of batches.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Exists, OuterRef, Prefetch, Q

from costing.make.additions import selectors as additions
from costing.make.additions.selectors import Addition
from costing.make.batches.logs.selectors import Log, logs
from costing.make.batches.models import Batch, BatchSkin
from costing.make.batches.requirements import selectors as requirements
from costing.make.cost import selectors as cost
from costing.make.cost.rates import rules as rates, selectors as rates_read
from costing.make.cost.rules import Share
from costing.make.recipes.models import RecipeLine, RecipeStep
from costing.make.steps import schedule, selectors as steps
from costing.make.steps.models import StepMark
from inventory import money
from inventory.base import selectors as workshop
from inventory.models import Skin

NOWHERE = "No place named"


@dataclass(frozen=True)
class Stake:
    """What is at risk in its parts: money paid for skins and what went into them, and own `minutes` on them at the wage; of
    customers' skins, whatever went into them, the price `agreed` for their jobs, which nobody pays for a spoiled one."""

    paid: Decimal = Decimal(0)
    mine: Decimal = Decimal(0)
    minutes: Fraction = Fraction(0)
    agreed: Decimal = Decimal(0)

    @property
    def whole(self) -> Decimal:
        return self.paid + self.mine + self.agreed

    def __add__(self, other: Stake) -> Stake:
        return Stake(*(getattr(self, part.name) + getattr(other, part.name) for part in fields(self)))


@dataclass(frozen=True)
class Task:
    """One thing for the hands. `nth` of `of`: days in the step so far, of the days that it lasts (0 of 0: it lasts none).

    `cautions`: the recipe's own words first, then the usual ones. `stake`: what is at risk in the whole batch. `timed`: a
    session writes its minutes, so logging the step must not bring them again. `open`: it may be logged, for its day is here.
    With an `addition` it is that which is to go in, in its step (none where the recipe has no steps). `lacks`: the step
    cannot be called done yet, for something did not go in.
    """

    batch: Batch
    step: RecipeStep | None
    place: str
    due: schedule.Due
    nth: int
    of: int
    skins: tuple[str, ...]
    cautions: tuple[str, ...]
    stake: Stake = Stake()
    timed: bool = False
    open: bool = True
    addition: Addition | None = None
    lacks: bool = False

    @property
    def kind(self) -> str:
        return "addition" if self.addition else "step"


@dataclass(frozen=True)
class Group:
    """The tasks at one place. `stake` counts each batch once; `minutes` what is due or overdue, not what is only coming."""

    place: str
    tasks: tuple[Task, ...]
    stake: Stake
    minutes: int


def tasks(on: date, ahead_days: int = schedule.AHEAD_DAYS) -> list[Task]:
    """All that is overdue, due, or coming within `ahead_days`, the most urgent first, as it stood at the end of a day."""
    batches = live(on)
    stakes, timed, written = _stakes(batches, on), steps.timed(batches), logs(batches, on)
    found: list[Task] = []
    for batch in batches:
        kinds = {kind for pk, kind in timed if pk == batch.pk}
        found += _of_batch(batch, written[batch.pk], on, ahead_days, stakes[batch.pk], kinds)
    return sorted(found, key=lambda task: (*schedule.urgency(task.due), task.batch.number))


def groups(on: date, ahead_days: int = schedule.AHEAD_DAYS) -> list[Group]:
    """The same by place; the place with the most urgent task first."""
    at: dict[str, list[Task]] = defaultdict(list)
    for task in tasks(on, ahead_days):
        at[task.place].append(task)
    return [
        Group(
            place=place,
            tasks=tuple(found),
            stake=sum({task.batch.pk: task.stake for task in found}.values(), Stake()),
            minutes=sum(task.due.minutes for task in found if task.due.state != "coming"),
        )
        for place, found in at.items()
    ]


def risk_of(batch: Batch, on: date) -> Decimal:
    """What a spoiled batch would lose: book cost of the skins in it + the owner's hours on them × wage, and the agreed price of
    customers' skins."""
    return _stakes([batch], on)[batch.pk].whole


def live(on: date) -> list[Batch]:
    """Batches with work ahead on a day: a skin was in it at its end, or it is planned, or its skins were never named.

    With their steps, lines, stays and the marks that stood on that day at hand.
    """
    open_stay = BatchSkin.objects.filter(batch=OuterRef("pk"), joined_on__lte=on).filter(
        Q(left_on__isnull=True) | Q(left_on__gt=on)
    )
    unnamed = ~Exists(BatchSkin.objects.filter(batch=OuterRef("pk")))
    there = Q(Exists(open_stay)) | Q(state=Batch.State.PLANNED) | (Q(unnamed) & ~Q(state=Batch.State.DONE))
    rows = Batch.objects.filter(there).select_related("version__recipe", "place", "frames")
    marks = StepMark.objects.filter(reversed_at__isnull=True, on__lte=on).select_related("step")
    return list(
        rows.order_by("start", "pk").prefetch_related(
            Prefetch("version__steps", queryset=RecipeStep.objects.order_by("position")),
            Prefetch(
                "version__lines", queryset=RecipeLine.objects.select_related("material", "step").order_by("position")
            ),
            Prefetch("stays", queryset=BatchSkin.objects.select_related("skin")),
            Prefetch("marks", queryset=marks),
        )
    )


def marks_of(batch: Batch) -> list[schedule.Mark]:
    """The marks that came at hand with `live()`."""
    return steps.as_marks(batch.marks.all())


def place_of(batch: Batch, step: RecipeStep | None) -> str:
    """Frames for a step on frames, the tub for one in a tub; for the others, where the steps before left the skins."""
    uses = ""
    for before in batch.version.steps.all() if step else ():
        uses = before.uses or uses
        if before == step:
            break
    where = batch.frames if uses == RecipeStep.Uses.FRAME and batch.frames else batch.place
    return where.name if where else NOWHERE


def minded(step: RecipeStep, words: str) -> tuple[str, ...]:
    """The cautions of something done in a step, without their titles."""
    return tuple(said for _, said in steps.cautions_of(step, words))


def _of_batch(batch: Batch, log: Log, on: date, ahead_days: int, stake: Stake, timed: Container[str]) -> list[Task]:
    """What goes into the step that is open, and what that step asks of the hands; `timed`: kinds of work that were timed."""
    rows = {step.name: step for step in batch.version.steps.all()}
    plan, marks = steps.plan_of(batch, on), marks_of(batch)
    tags = tuple(sorted(stay.skin.tag for stay in steps.there_on(batch, on)))
    begun = steps.has_begun(batch, plan)
    anyone = begun or bool(tags)
    laid = next((each for each in schedule.lay_out(plan, batch.start, marks) if each.ended is None), None)
    open_ = rows[laid.step.key] if laid else None
    waiting = additions.of(batch, requirements.amounts(batch, on, log), live=True)
    absent = [each for each in waiting if each.step == open_]
    near = [each for each in absent if each.amount.due <= on + timedelta(days=ahead_days)]
    asked: list[tuple[schedule.Due, Addition | None]] = [(_due(each, on, begun, anyone), each) for each in near]
    for due in schedule.dues(plan, batch.start, marks, on, ahead_days=ahead_days, begun=begun, anyone=anyone):
        asked.append((due, None))
    return [
        Task(
            batch=batch,
            step=open_,
            place=place_of(batch, open_),
            due=due,
            nth=max(0, (on - laid.begins).days) if laid else 0,
            of=laid.step.lasts_days if laid else 0,
            skins=tags,
            cautions=addition.cautions if addition else minded(open_, due.words) if open_ else (),
            stake=stake,
            timed=open_ is not None and open_.kind in timed,
            open=laid is None or laid.begins <= on,
            addition=addition,
            lacks=bool(absent) and not addition and not due.is_repeat,
        )
        for due, addition in asked
    ]


def _due(addition: Addition, on: date, begun: bool, anyone: bool) -> schedule.Due:
    step, amount = addition.step, addition.amount
    due = schedule.asked(step.name if step else "", addition.words, amount.due, amount.latest, on)
    return replace(due, to_begin=not begun, anyone=anyone)


def _stakes(batches: Sequence[Batch], on: date) -> dict[int, Stake]:
    skins = {batch.pk: [stay.skin for stay in steps.there_on(batch, on)] for batch in batches}
    shares = cost.skin_shares([skin for there in skins.values() for skin in there], until=on)
    rate, places = rates_read.plain(), workshop.places()
    prices = agreed(skin for there in skins.values() for skin in there)
    return {
        pk: stake_of([shares[skin.tag] for skin in there if skin.pk not in prices], rate, places)
        + Stake(agreed=sum((prices.get(skin.pk, Decimal(0)) for skin in there), Decimal(0)))
        for pk, there in skins.items()
    }


def agreed(skins: Iterable[Skin]) -> dict[int, Decimal]:
    """By skin id: the price agreed for the job on a customer's skin, of jobs that were not cancelled."""
    theirs = [skin.pk for skin in skins if skin.theirs]
    if not theirs:
        return {}
    rows = Skin.objects.filter(pk__in=theirs, job__given_up_on__isnull=True, job__isnull=False)
    return dict(rows.values_list("pk", "job__price"))


def stake_of(shares: Iterable[Share], rate: rates.Rates, places: int) -> Stake:
    """Money paid and own hours at the wage, rounded as a whole: the part of the hours is what that leaves beside the money."""
    whole = sum(shares, Share())
    paid = money.half_up(whole.book(), places)
    return Stake(paid, money.half_up(whole.book() + whole.own_time(rate), places) - paid, whole.own_minutes)
