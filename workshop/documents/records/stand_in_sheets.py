"""The stand-in sheet from records: every live batch, who is in it, what comes next, what hurts, what is at risk."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import groupby

from costing.make.batches.logs.selectors import Log, logs
from costing.make.baths.chemistry import cautions
from costing.make.steps import selectors as steps
from costing.make.steps.agenda import selectors as agenda
from costing.make.steps.plans import selectors as plans
from costing.make.steps.plans.selectors import Ahead
from costing.models import Batch
from inventory import money
from inventory.base import selectors as workshop
from workshop.documents.records import shared
from workshop.documents.shed.stand_in_sheet import StandInSheet, Tub
from workshop.documents.words import selectors as words_read
from workshop.documents.words.rules import Words

AHEAD_DAYS = 14


def stand_in_sheet(on: date, language: str = "", *, risks: bool = True) -> StandInSheet:
    """The sheet as of a day, for the fortnight after it, and to the end of each step that runs. `risks`: with what is at risk,
    which is told only to who reads money."""
    row, words = workshop.current(), words_read.of(language)
    tubs = _tubs(on, row.currency, words)
    return StandInSheet(
        workshop=row.name,
        printed_on=on,
        tubs=tubs if risks else tuple(replace(tub, risk="") for tub in tubs),
        contacts=(row.stand_in,) if row.stand_in else (),
        words=words,
    )


def _tubs(on: date, currency: str, words: Words) -> tuple[Tub, ...]:
    """All tubs with a fixed number of queries; only a batch without a step ahead has its risk asked for by itself."""
    risks = {task.batch.pk: task.stake.whole for task in agenda.tasks(on, AHEAD_DAYS)}
    # Tasks come the most urgent first, and so does a batch by the first of its own; one without any comes last.
    turn = {pk: nth for nth, pk in enumerate(risks)}
    live = [batch for batch in agenda.live(on) if _concerns(batch, on)]
    batches = sorted(live, key=lambda batch: turn.get(batch.pk, len(turn)))
    written = logs(batches, on)
    return tuple(
        _tub(
            batch,
            written[batch.pk],
            on,
            currency,
            risks[batch.pk] if batch.pk in risks else agenda.risk_of(batch, on),
            words,
        )
        for batch in batches
    )


def _concerns(batch: Batch, on: date) -> bool:
    """A plan for later than the sheet looks is nobody's care yet."""
    return batch.state != Batch.State.PLANNED or batch.start <= on + timedelta(days=AHEAD_DAYS)


def _tub(batch: Batch, log: Log, on: date, currency: str, risk: Decimal, words: Words) -> Tub:
    rows = plans.of_batch(batch, log, on, until=_horizon(batch, log, on))
    return Tub(
        place=rows[0].place if rows else (batch.place.name if batch.place else agenda.NOWHERE),
        batch=batch.number,
        skins=tuple(sorted(stay.skin.tag for stay in steps.there_on(batch, on))),
        recipe=str(batch.version),
        next_steps=tuple(_steps(rows, words)),
        cautions=cautions.once(hazard for row in rows for hazard in row.hazards),
        risk=money.show(risk, currency) if risk else "",
    )


def _horizon(batch: Batch, log: Log, on: date) -> date:
    """A fortnight on, or the end of the step that runs where that is later."""
    laid = steps.laid(batch, on, steps.as_marks(log.marks))
    runs = [each.due for each in laid if each.ended is None and each.begins <= on]
    return max([on + timedelta(days=AHEAD_DAYS), *runs[:1]])


def _steps(rows: Iterable[Ahead], words: Words) -> Iterable[tuple[date, str]]:
    """Repeats of one step in a row are one line, so that the sheet stays a page. What the recipe itself says of a step, of
    hurt or of good work, stands with it once."""
    said = set()
    for _, found in groupby(rows, key=lambda row: (row.step, row.kind, row.addition)):
        group = list(found)
        first, last = group[0], group[-1]
        step = shared.ahead(first, words)
        if first.late_days:
            step = words("stand_in.late", step=step, day=words.day(first.since))
        if last is not first and first.step:
            until = words.weekday(last.on)
            step = (
                words("stand_in.every_day", step=step, day=until)
                if first.step.every_days == 1
                else words("stand_in.every_days", step=step, days=first.step.every_days, day=until)
            )
        own = first.step.caution if first.step and not first.addition else ""
        if own and own not in said:
            said.add(own)
            step = f"{step}. {own}"
        yield first.on, step
