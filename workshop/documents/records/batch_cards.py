"""The batch card from records: the recipe's steps laid on the calendar, with boxes to tick, amounts and cautions."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from decimal import Decimal

from costing.make.additions import selectors as additions
from costing.make.batches.logs.selectors import logs
from costing.make.batches.requirements import selectors as requirements
from costing.make.batches.requirements.selectors import Amount as Planned
from costing.make.batches.stays import selectors as stays_read
from costing.make.baths.chemistry import cautions
from costing.make.baths.mixing import selectors as mixing
from costing.make.steps import selectors as steps
from costing.make.steps.plans import selectors as plans
from costing.make.steps.plans.selectors import Ahead
from costing.models import Batch, StepMark
from inventory import money, units
from inventory.base import measures, selectors as workshop
from workshop.documents.records import shared
from workshop.documents.shed.batch_card import Amount, BatchCard, CardDay, CardSkin
from workshop.documents.words import selectors as words_read, species
from workshop.documents.words.rules import Words

TO_WRITE = "________"


def batch_card(batch: str, language: str = "") -> BatchCard:
    """The card of a batch as it stands: what is logged is ticked, what is ahead has its boxes.

    A batch whose recipe has no steps still prints its amounts, and the grids to write in.
    """
    row, words = shared.batch(batch), words_read.of(language)
    return BatchCard(
        workshop=workshop.current().name,
        batch=row.number,
        recipe=f"{row.version} {row.version.recipe.name}".strip(),
        start=row.start,
        vessel=row.place.name if row.place else "",
        litres=measures.volume(row.litres) if row.litres else "",
        degrees=measures.degrees_sign(),
        skins=_skins(row, words),
        amounts=_amounts(row, words),
        days=(*_logged(row, words), *_ahead(row, workshop.today(), words)),
        notes=row.note,
        words=words,
    )


def _skins(row: Batch, words: Words) -> tuple[CardSkin, ...]:
    """Those in the batch, or all it had when it is done; then a line to write on for each that was planned without a name."""
    stays = list(row.stays.all())
    there = [stay.skin for stay in stays if stay.left_on is None] or [stay.skin for stay in stays]
    named = [
        CardSkin(
            skin.tag,
            ", ".join(filter(None, (species.trade_name(skin.species, words), skin.sex_age))),
            units.show(skin.green_weight, skin.weight_unit, "g") if skin.green_weight else "",
        )
        for skin in there
    ]
    unnamed = row.planned_skins - len(stays) if row.state == Batch.State.PLANNED else 0
    return (*named, *(CardSkin(TO_WRITE, "") for _ in range(unnamed)))


def _amounts(row: Batch, words: Words) -> tuple[Amount, ...]:
    full = stays_read.detailed().get(pk=row.pk)
    amounts = requirements.amounts(full)
    return tuple(Amount(_named(planned), _measure(full, planned), _put_in(planned, words)) for planned in amounts)


def _put_in(planned: Planned, words: Words) -> str:
    """What went in of it so far, and as what where something stood in."""
    if not planned.used:
        return ""
    used = additions.in_own(planned.line, planned.used)
    return words("card.instead", amount=used, material=", ".join(planned.instead)) if planned.instead else used


def _named(planned: Planned) -> str:
    words = planned.line.words
    return f"{planned.material.name} ({words})" if words else planned.material.name


def _measure(row: Batch, planned: Planned) -> str:
    """The planned amount in the unit the recipe line was typed in; the shelf's own measure beside a cup or spoon."""
    asked = additions.as_addition(row, replace(planned, used=Decimal(0)))
    if planned.planned is None or units.metric_of(asked.unit) == units.metric_of(planned.material.base):
        return asked.figure
    return f"{asked.figure} ({mixing.in_measure(planned.material, planned.planned, planned.material.unit)})"


def _logged(row: Batch, words: Words) -> tuple[CardDay, ...]:
    return tuple(
        CardDay(
            mark.on,
            mark.step.repeat if mark.kind == StepMark.Kind.REPEAT else mark.step.does,
            boxes=0,
            minutes=_logged_minutes(mark),
            skipped=mark.kind == StepMark.Kind.SKIPPED,
        )
        for mark in steps.standing_rows(row)
    )


def _logged_minutes(mark: StepMark) -> int:
    return int(money.half_up(mark.labour.minutes, 0)) if mark.labour else 0


def _ahead(row: Batch, today: date, words: Words) -> tuple[CardDay, ...]:
    """A row for each thing to do. Of a batch that all skins have left nothing is ahead."""
    if row.state == Batch.State.DONE:
        return ()
    full = stays_read.detailed().select_related("frames").get(pk=row.pk)
    rows = plans.of_batch(full, logs([full], today)[full.pk], today)
    cautioned = _cautions(rows, words)
    return tuple(CardDay(one.on, _words(one, words), 1, one.minutes, cautioned[_thing(one)]) for one in rows)


def _thing(one: Ahead) -> tuple[int, str]:
    """What a row is of: an addition, a step's repeat, or the step itself."""
    if one.addition:
        return one.addition.line.pk, one.kind
    return one.step.pk if one.step else 0, one.kind


def _cautions(rows: Iterable[Ahead], words: Words) -> dict[tuple[int, str], str]:
    """By what they are of. What an earlier row of the card said in full is named by its title afterwards."""
    titles = {caution.said: caution.title for caution in cautions.CAUTIONS.values()}
    printed: set[str] = set()
    by_step: dict[tuple[int, str], str] = {}
    for one in rows:
        if _thing(one) in by_step:
            continue
        full = [said for said in one.cautions if said not in printed]
        again = [titles[said].lower() for said in one.cautions if said in printed and said in titles]
        printed.update(said for said in full if said in titles)
        as_before = [words("card.as_before", cautions=", ".join(again))] if again else []
        by_step[_thing(one)] = "\n".join([*cautions.once(full), *as_before])
    return by_step


def _words(one: Ahead, words: Words) -> str:
    step = shared.ahead(one, words)
    return words("card.due_since", step=step, day=words.day(one.since)) if one.late_days else step
