"""Papers and money checked from their lines: totals, numbers, what is sold and where it is, what was paid. Writes nothing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal

from costing.book_errors import NumberGap, NumberStrange, NumberTwice
from costing.models import Job, Payment, Sale, SaleLine, Series
from costing.numbering import Series as Run
from costing.numbering import next_number
from costing.selectors import money
from inventory.models import Article, Move
from inventory.selectors import workshop

NOTHING = Decimal(0)


def findings() -> Iterator[str]:
    """Every difference in what was sold, one sentence each; nothing when the books are clean."""
    yield from _totals()
    yield from _numbers()
    yield from _sold()
    yield from _jobs()
    yield from _paid()


def _coins(amount: Decimal) -> str:
    return str(workshop.coins(amount))


def _totals() -> Iterator[str]:
    for paper in Sale.objects.prefetch_related("lines").order_by("pk"):
        for name in ("net", "tax", "gross"):
            stands = getattr(paper, name)
            added = sum((getattr(line, name) for line in paper.lines.all()), NOTHING)
            if added != stands:
                yield f"{paper.number} says {_coins(stands)} {name}; its lines add up to {_coins(added)}."
        if paper.net + paper.tax != paper.gross:
            yield f"{paper.number}: {_coins(paper.net)} and {_coins(paper.tax)} tax are not {_coins(paper.gross)}."


def _numbers() -> Iterator[str]:
    """Each series runs from its first number to its last without a gap, and no number stands twice."""
    used: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for kind, sequence, number in Sale.objects.values_list("kind", "sequence", "number"):
        used[kind].append((sequence, number))
    used[Series.Kind.RECEIPT] = list(Payment.objects.values_list("sequence", "number"))
    rows = {row.kind: row for row in Series.objects.all()}
    for kind in Series.Kind.values:
        row = rows.get(kind)
        if row is None:
            if used[kind]:
                yield f"{used[kind][0][1]} is issued, and its series ({kind}) is not there."
            continue
        run = Run(row.prefix, row.digits)
        try:
            following = next_number(run, [number for _, number in used[kind]])
        except (NumberGap, NumberStrange, NumberTwice) as problem:
            yield f"Series {row.get_kind_display().lower()}: {problem}"
            continue
        if following != run.write(row.last + 1):
            yield f"Series {row.get_kind_display().lower()} counts {row.last}; its next number would be {following}."
        for sequence, number in used[kind]:
            if run.read(number) != sequence:
                yield f"{number} is counted as {sequence} in its series."


def _sold() -> Iterator[str]:
    """A piece is gone as sold while one line of a sale stands for it, and only then."""
    lines = SaleLine.objects.filter(standing=True, article__isnull=False).select_related("sale", "article")
    standing = set()
    for line in lines.order_by("pk"):
        piece = line.article
        if piece is not None:
            standing.add(piece.pk)
            if piece.gone_why != Move.Why.SOLD:
                where = piece.gone_why or "here"
                yield f"{piece.number} is sold on {line.sale.number}, and is {where}."
    for piece in Article.objects.filter(gone_why=Move.Why.SOLD).exclude(pk__in=standing).order_by("pk"):
        yield f"{piece.number} is gone as sold, and no sale stands for it."


def _jobs() -> Iterator[str]:
    billed = dict(SaleLine.objects.filter(standing=True, job__isnull=False).values_list("job", "sale__number"))
    for job in Job.objects.select_related("skin").prefetch_related("payments").order_by("pk"):
        if job.given_back and job.skin.lost_on != job.given_up_on:
            yield f"{job.number} is given up on {job.given_up_on}, and {job.skin.tag} did not go home that day."
        if job.pk in billed and job.handed_over_on is None:
            yield f"{job.number} is billed on {billed[job.pk]}, and is not handed over."
        elif job.pk not in billed and job.handed_over_on is not None:
            yield f"{job.number} was handed over on {job.handed_over_on}, and no paper stands for it."
        held = money.deposit(job)
        if held < 0 or (job.pk not in billed and held > job.price):
            yield f"{job.number} is agreed at {_coins(job.price)}; {_coins(held)} is paid."


def _paid() -> Iterator[str]:
    """No more was paid for a sale than it came to, no more paid back than came, no more credited than it was."""
    for sale in money.settled().exclude(kind=Sale.Kind.CREDIT).order_by("pk"):
        settled = money.settlements(sale)
        deposits = sum((row.amount for row in settled if row.how == "deposit"), NOTHING)
        paid = sum((row.amount for row in settled if row.how != "deposit"), NOTHING)
        due = max(sale.gross - deposits, NOTHING)
        if paid > due:
            yield f"{sale.number}: {_coins(due)} was owed, and {_coins(paid)} is paid."
        # What was kept back by a payer never came; a deposit counts while the sale stands that it was set off on.
        came = sum((row.amount for row in settled if row.how != money.WITHHELD), NOTHING)
        if came < 0:
            yield f"{sale.number}: {_coins(-came)} more is paid back than was ever paid."
        credited = -sum((credit.gross for credit in sale.credited_by.all()), NOTHING)
        if credited > sale.gross:
            yield f"{sale.number} came to {_coins(sale.gross)}; {_coins(credited)} of it is credited."
