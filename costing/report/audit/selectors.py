"""The upper floor checked from its lines: frozen costs, late costs, stages, and that no value was lost on the way up."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum, prefetch_related_objects

from costing.make.batches.models import Batch
from costing.make.cost import rules as cost
from costing.make.cost.models import ArticleCost
from costing.make.cost.rates import rules as rates_rules
from costing.make.frames import selectors as frames
from costing.make.frames.lacings import selectors as lacings_read
from costing.make.frames.models import Frame
from costing.make.labour.models import LabourLine
from costing.report.audit.frozen import selectors as frozen
from costing.report.audit.money import selectors as audit_of_money
from costing.report.audit.papers import selectors as audit_of_papers
from costing.report.audit.settled import selectors as audit_of_settled
from costing.report.audit.stock import selectors as stock
from costing.report.audit.stock.selectors import Told
from costing.report.valuation import selectors as valuation
from costing.sell.jobs.models import Job
from costing.sell.payments import selectors as payments
from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale, SaleLine, Series
from costing.sell.sales.numbering.rules import NumberRefused, Series as Run, next_number
from inventory import money as inventory_money
from inventory.base import selectors as workshop
from inventory.base.chain import selectors as chain
from inventory.base.selectors import coins
from inventory.ledger.audit import selectors as audit
from inventory.ledger.audit.deliveries import selectors as deliveries
from inventory.models import Article, ArticleSkin, Kind, Move, Movement, Skin
from inventory.money import ZERO


def findings_of_papers() -> Iterator[str]:
    """Every difference in what was sold, one sentence each; nothing when the books are clean."""
    yield from _totals()
    yield from _numbers()
    yield from _sold()
    yield from _jobs()
    yield from _paid()
    yield from audit_of_papers.findings()


def _totals() -> Iterator[str]:
    for paper in Sale.objects.prefetch_related("lines").order_by("pk"):
        for name in ("net", "tax", "gross"):
            stands = getattr(paper, name)
            added = sum((getattr(line, name) for line in paper.lines.all()), ZERO)
            if added != stands:
                yield f"{paper.number} says {coins(stands)} {name}; its lines add up to {coins(added)}."
        if paper.net + paper.tax != paper.gross:
            yield f"{paper.number}: {coins(paper.net)} and {coins(paper.tax)} tax are not {coins(paper.gross)}."


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
        run = Run(row.prefix, row.digits, row.first)
        try:
            following = next_number(run, [number for _, number in used[kind]])
        except NumberRefused as problem:
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
        held = payments.deposit(job)
        if held < 0 or (job.pk not in billed and held > job.price and held > payments.most_due(job)):
            yield f"{job.number} is agreed at {coins(job.price)}; {coins(held)} is paid."


def _paid() -> Iterator[str]:
    """No more was paid for a sale than it came to, no more paid back than came, no more credited than it was."""
    for sale in payments.settled().exclude(kind=Sale.Kind.CREDIT).order_by("pk"):
        settled = payments.settlements(sale)
        deposits = sum((row.amount for row in settled if row.how == "deposit"), ZERO)
        paid = sum((row.amount for row in settled if row.how != "deposit"), ZERO)
        due = max(sale.gross - deposits, ZERO)
        if paid > due:
            yield f"{sale.number}: {coins(due)} was owed, and {coins(paid)} is paid."
        # What was kept back by a payer never came; a deposit counts while the sale stands that it was set off on.
        came = sum((row.amount for row in settled if row.how != payments.WITHHELD), ZERO)
        if came < 0:
            yield f"{sale.number}: {coins(-came)} more is paid back than was ever paid."
        credited = -sum((credit.gross for credit in sale.credited_by.all()), ZERO)
        lost = sum((row.amount for row in sale.write_offs.all()), ZERO)
        if not 0 <= lost <= max(due - paid, ZERO):
            yield f"{sale.number}: {coins(lost)} is written off, and the balance due was {coins(max(due - paid, ZERO))}."
        if credited > sale.gross:
            yield f"{sale.number} came to {coins(sale.gross)}; {coins(credited)} of it is credited."


def findings(after: int = 0) -> list[str]:
    """Every difference in the books, ground floor first; an empty list when they are clean. `after`: links of the chain up to that
    one were followed before."""
    told = stock.at(date.max)
    return [
        *audit.findings(),
        *_articles(told),
        *audit_of_settled.findings(told),
        *_stages(),
        *_states(),
        *_labour(),
        *_frames(),
        *_conserved(told),
        *findings_of_papers(),
        *audit_of_money.findings(),
        *deliveries.findings(),
        *frozen.findings(),
        *chain.findings(after),
    ]


def _articles(told: Told) -> Iterator[str]:
    places = workshop.places()
    splits: dict[str, list[ArticleCost]] = defaultdict(list)
    for row in ArticleCost.objects.select_related("article").order_by("article__pk"):
        splits[row.split].append(row)
    for group in splits.values():
        books = cost.split_books([told.pieces[row.article_id] for row in group], places)
        for row, book in zip(group, books, strict=True):
            number, whole = row.article.number, told.pieces[row.article_id]
            if (row.book + row.late_book, row.article.book_cost) != (book, book):
                stands = f"{row.article.book_cost} ({row.book} frozen, {row.late_book} late)"
                yield f"Article {number} stands at {stands}; its skins' lines say {book}."
            rates = rates_rules.Rates(row.wage_per_hour, row.overhead_per_hour, row.frame_wear)
            full = inventory_money.half_up(whole.full(rates), places)
            if row.full + row.late_full != full:
                yield f"Article {number} has a full cost of {row.full + row.late_full}; its skins' lines say {full}."
            for name, of in (("own_minutes", " of your own"), ("minutes", "")):
                minutes = inventory_money.half_up(getattr(whole, name), cost.EXACT_PLACES)
                if (stand := getattr(row, name) + (getattr(row, f"late_{name}") or 0)) != minutes:
                    yield f"Article {number} has {stand:f} minutes{of}; its skins' lines say {minutes:f}."


def _stages() -> Iterator[str]:
    used: dict[int, Fraction] = defaultdict(Fraction)
    for part in ArticleSkin.objects.all():
        used[part.skin_id] += Fraction(part.share_of, part.share_in)
    for skin in Skin.objects.prefetch_related("stays__batch"):
        open_stay = any(stay.left_on is None for stay in skin.stays.all())
        begun = any(stay.batch.state != Batch.State.PLANNED for stay in skin.stays.all())
        share = used[skin.pk]
        if share > 1:
            yield f"Skin {skin.tag}: its articles take {share} of it, more than the whole."
        expected = skin.stage
        if skin.lost_on:
            expected = Skin.Stage.LOST
        elif share == 1:
            expected = Skin.Stage.FINISHED
        elif begun:
            expected = Skin.Stage.IN_WORK
        if skin.stage != expected:
            yield f"Skin {skin.tag} is marked {skin.stage}; what happened to it says {expected}."
        if open_stay and skin.stage in (Skin.Stage.FINISHED, Skin.Stage.LOST):
            yield f"Skin {skin.tag} is {skin.stage} and still stands in a batch."


def _states() -> Iterator[str]:
    for batch in Batch.objects.prefetch_related("stays", "uses", "labour", "marks"):
        stays = list(batch.stays.all())
        begun = bool(batch.uses.all() or batch.labour.all() or batch.marks.all())
        there = any(stay.left_on is None for stay in stays)
        expected = Batch.State.PLANNED if not begun else Batch.State.IN_WORK
        if begun and stays and not there:
            expected = Batch.State.DONE
        if batch.state != expected:
            yield f"Batch {batch.number} is marked {batch.state}; its entries say {expected}."


def _labour() -> Iterator[str]:
    for line in LabourLine.objects.filter(reversed_by__isnull=False).select_related("reversed_by"):
        back: LabourLine = line.reversed_by
        if (back.minutes, back.paid) != (-line.minutes, -line.paid):
            yield f"Labour line {back.pk} does not reverse exactly what line {line.pk} wrote."


def _frames() -> Iterator[str]:
    """A frame holds one skin and no more than went into it: counted in whole coins, lacing by lacing, without the split."""
    places = workshop.places()
    accounts = frames.accounts(Frame.objects.all()).values()
    lines = [row.line for account in accounts for row, _ in account.lacings]
    prefetch_related_objects(lines, *lacings_read.WHO_IS_CHARGED)
    for account in accounts:
        frame, left, lacings = account.frame, 0, 0
        days = [(put.on, 0, inventory_money.to_steps(put.full, places), put.lacings) for put in account.puts]
        days += [(row.line.on, 1, row.pk, 0) for row, _ in account.lacings]
        wears = {row.pk: inventory_money.to_steps(wear, places) for row, wear in account.lacings}
        for _, laced, coins_or_key, more in sorted(days):
            if not laced:
                left, lacings = left + coins_or_key, lacings + more
                continue
            expected = left // lacings if lacings > 1 else left
            if wears[coins_or_key] != expected:
                yield f"Frame {frame}: a lacing wore off {wears[coins_or_key]} coins; its entries say {expected}."
            left, lacings = left - wears[coins_or_key], max(lacings - 1, 0)
        if left != inventory_money.to_steps(account.left, places) or account.worn + account.left != account.full:
            stands = f"{coins(account.worn)} worn off and {coins(account.left)} left"
            yield f"Frame {frame} cost {coins(account.full)}; {stands} do not add up to it."
        for row, _ in account.lacings:
            if not row.line.laced or row.line.on < frame.made_on or (frame.broken_on or row.line.on) < row.line.on:
                yield f"Frame {frame}: {row.skin} was laced to it on {row.line.on}, when it could not be."
            if row.skin.tag not in lacings_read.bearers(row.line):
                yield f"Frame {frame}: {row.skin} was laced to it on {row.line.on} by work that was not on that skin."


def _conserved(told: Told) -> Iterator[str]:
    """Skins bought + materials put in work + paid help = raw + in work + finished + lost, to the rounding of each piece.

    What went into frames went into no skin. Told from all entries; the sheet that pages show must come to the same."""
    used = Movement.objects.filter(kind=Kind.USE).aggregate(v=Sum("value"))["v"] or ZERO
    used += frames.into_frames(Movement.objects.all())
    paid = LabourLine.objects.aggregate(v=Sum("paid"))["v"] or ZERO
    bought = Skin.objects.aggregate(v=Sum("price"))["v"] or ZERO
    held = told.raw_skins + told.in_work + told.finished + told.lost + told.sharing + sum(told.gone.values())
    if bought - used + paid != held:
        yield f"Put into skins: {bought - used + paid}; found in skins, articles and losses: {held}."
    # The whole, raw skins, work begun, each loss and each set of pieces finished together is rounded once.
    splits = ArticleCost.objects.values("split").distinct().count()
    roundings = 3 + splits + Skin.objects.filter(lost_on__isnull=False).count()
    step = Decimal(1).scaleb(-workshop.places())
    if abs(told.sharing) > step * roundings / 2:
        yield f"Rounding left over {told.sharing}, more than half a cent for each of {roundings} figures."
    sheet = valuation.at(date.max)
    for name in ("raw_skins", "in_work", "finished", "lost", "sharing"):
        if getattr(sheet, name) != getattr(told, name):
            words = name.replace("_", " ")
            yield f"The stock sheet says {getattr(sheet, name)} {words}; all entries say {getattr(told, name)}."
    for why in sorted(sheet.gone.keys() | told.gone.keys()):
        if (shown := sheet.gone.get(why, ZERO)) != (should := told.gone.get(why, ZERO)):
            yield f"The stock sheet says {shown} {why.replace('_', ' ')}; all entries say {should}."
