"""Labour: minutes logged, and reversed by a linked line. Never edited."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.make.batches.models import Batch
from costing.make.batches.stays import selectors as stays_read, services as stays
from costing.make.cost import services as cost
from costing.make.frames.models import Frame
from costing.make.labour.models import LabourLine
from costing.make.labour.rules import DAY_MINUTES
from costing.make.recipes.models import TaskKind
from costing.make.vessels import services as vessels
from inventory.base import checks, services as entries
from inventory.base.chain import services as chain
from inventory.base.checks import coins
from inventory.base.models import How
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Skin
from inventory.permits import Act, Person, author
from inventory.skins import services as skins_services


def known_kind(kind: str) -> TaskKind:
    """The kind of that name; empty is other work."""
    try:
        return TaskKind(kind or TaskKind.OTHER)
    except ValueError:
        raise Refused(
            f"'{kind}' is not a known kind of work. Choose one of {', '.join(TaskKind.values)}.", field="kind"
        ) from None


@dataclass(frozen=True)
class Told:
    """What is said of work: the arguments of `log`."""

    on: date
    minutes: Decimal
    kind: str = ""
    task: str = ""
    batch: Batch | None = None
    tags: Sequence[str] = ()
    who: str = ""
    paid: Decimal = Decimal(0)
    how: str = ""
    laced: bool | None = None


@service(Act.SHED, makes=LabourLine)
def log(
    *,
    on: date,
    minutes: Decimal,
    kind: str = "",
    task: str = "",
    batch: Batch | None = None,
    tags: Sequence[str] = (),
    who: str = "",
    paid: Decimal = Decimal(0),
    how: str = "",
    laced: bool | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> LabourLine:
    """Minutes at a task, for the named skins, else for all in the batch that day. `paid` is money given for it, `how` it was paid.

    `kind` says what the work counts as: lacing puts skins on frames unless `laced` says otherwise. `task` is the maker's own
    word for it; empty is the kind's.
    """
    said = Told(on, minutes, kind, task, batch, tags, who, paid, how, laced)
    line = _line(said, by)
    skins = stays.hold_skins(batch, tags)
    stays.refuse_unfit(batch, skins, on)
    line.save()
    if skins:
        line.skins.set(skins)
    stays.begun(batch)
    cost.refresh(batch, skins)
    return line


@service(Act.SHED)
def log_told(*, told: Sequence[Told], by: Person = None) -> list[LabourLine]:
    """All the work of a folder, in its order: what `log` writes of each one after the other, all or nothing."""
    lines = [_line(each, by) for each in told]
    batches = {each.batch.pk: each.batch for each in told if each.batch is not None}
    tags = sorted({tag for each in told for tag in each.tags})
    skins = dict(zip(tags, skins_services.lock(tags), strict=True))
    for batch in batches.values():
        stays.hold_skins(batch)
    joined = stays_read.joined(batches)
    named = [[skins[tag] for tag in each.tags] for each in told]
    for each, those in zip(told, named, strict=True):
        stays.refuse_unfit(each.batch, those, each.on, joined.get(each.batch.pk, {}) if each.batch else None)
    written = LabourLine.objects.bulk_create(lines)
    through = LabourLine.skins.through
    through.objects.bulk_create(
        through(labourline=line, skin=skin) for line, those in zip(written, named, strict=True) for skin in those
    )
    chain.note(LabourLine, [row.pk for row in written])
    for batch in batches.values():
        stays.begun(batch)
        cost.refresh(batch, [])
    cost.refresh(None, [skin for each, those in zip(told, named, strict=True) if each.batch is None for skin in those])
    return written


def _line(said: Told, by: Person) -> LabourLine:
    """Refuses what no line says, whoever it is for."""
    checks.day(said.on)
    what = known_kind(said.kind)
    task = checks.text(said.task, "The task", field="task", longest=80) or what.label.lower()
    checks.held(checks.positive(said.minutes, "The minutes", field="minutes"), field="minutes")
    if said.minutes > DAY_MINUTES:
        raise Refused(
            f"{said.minutes} minutes are more than a day has ({DAY_MINUTES}). Enter each day by itself.",
            field="minutes",
        )
    return LabourLine(
        on=said.on,
        batch=said.batch,
        kind=what,
        task=task,
        minutes=said.minutes,
        paid=coins(said.paid, "The pay", field="paid"),
        who=checks.text(said.who, "Who", field="who", longest=80),
        how=checks.choice(said.how, ["", *How.values], "way to pay", field="how"),
        laced=what is TaskKind.LACE if said.laced is None else said.laced,
        written_by=author(by),
    )


@service(Act.SHED, makes=LabourLine)
def reverse(
    *, line: LabourLine, on: date | None = None, by: Person = None, request_key: str | None = None
) -> LabourLine:
    """Reverse a line by a linked one of the same size, on the same day unless that is closed and `on` names another."""
    # Skins and batch before everything else, as everywhere: a finish of one of them waits for this, or this for it.
    skins: list[Skin] = stays.hold_skins(line.batch, list(line.skins.values_list("tag", flat=True)))
    back = entries.reverse(line, _mirrored, already="This line is reversed already.", on=on, writer=author(by))
    back.skins.set(skins)
    cost.refresh(back.batch, skins)
    for frame in Frame.objects.filter(laced__line=line):
        cost.refresh_frame(frame)
    vessels.settle(Skin.objects.filter(lacings__line=line), back.on, by, undone=True)
    return back


def _mirrored(row: LabourLine, on: date) -> LabourLine:
    same = {name: getattr(row, name) for name in ("batch", "kind", "task", "who", "how", "laced")}
    return LabourLine(on=on, minutes=-row.minutes, paid=-row.paid, **same)
