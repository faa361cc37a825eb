"""Labour: minutes logged, and reversed by a linked line. Never edited."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from costing.make.batches.models import Batch
from costing.make.batches.stays import services as stays
from costing.make.cost import services as cost
from costing.make.frames.models import Frame
from costing.make.labour.models import LabourLine
from costing.make.labour.rules import DAY_MINUTES
from costing.make.recipes.models import TaskKind
from costing.make.vessels import services as vessels
from inventory.base import checks, services as entries
from inventory.base.checks import coins
from inventory.base.models import How
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Skin
from inventory.permits import Act, Person, author


def known_kind(kind: str) -> TaskKind:
    """The kind of that name; empty is other work."""
    try:
        return TaskKind(kind or TaskKind.OTHER)
    except ValueError:
        raise Refused(
            f"'{kind}' is not a known kind of work. Choose one of {', '.join(TaskKind.values)}.", field="kind"
        ) from None


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
    checks.day(on)
    what = known_kind(kind)
    task = checks.text(task, "The task", field="task", longest=80) or what.label.lower()
    checks.held(checks.positive(minutes, "The minutes", field="minutes"), field="minutes")
    if minutes > DAY_MINUTES:
        raise Refused(
            f"{minutes} minutes are more than a day has ({DAY_MINUTES}). Enter each day by itself.", field="minutes"
        )
    coins(paid, "The pay", field="paid")
    skins = stays.hold_skins(batch, tags)
    stays.refuse_unfit(batch, skins, on)
    line = LabourLine.objects.create(
        on=on,
        batch=batch,
        kind=what,
        task=task,
        minutes=minutes,
        who=checks.text(who, "Who", field="who", longest=80),
        paid=paid,
        how=checks.choice(how, ["", *How.values], "way to pay", field="how"),
        laced=what is TaskKind.LACE if laced is None else laced,
        written_by=author(by),
    )
    line.skins.set(skins)
    stays.begun(batch)
    cost.refresh(batch, skins)
    return line


@service(Act.SHED, makes=LabourLine)
def reverse(
    *, line: LabourLine, on: date | None = None, by: Person = None, request_key: str | None = None
) -> LabourLine:
    """Reverse a line by a linked one of the same size, on the same day unless that is closed and `on` names another."""
    back = entries.reverse(line, _mirrored, already="This line is reversed already.", on=on, writer=author(by))
    skins: list[Skin] = list(line.skins.all())
    back.skins.set(skins)
    cost.refresh(back.batch, skins)
    for frame in Frame.objects.filter(laced__line=line):
        cost.refresh_frame(frame)
    vessels.settle(Skin.objects.filter(lacings__line=line), back.on, by, undone=True)
    return back


def _mirrored(row: LabourLine, on: date) -> LabourLine:
    same = {name: getattr(row, name) for name in ("batch", "kind", "task", "who", "how", "laced")}
    return LabourLine(on=on, minutes=-row.minutes, paid=-row.paid, **same)
