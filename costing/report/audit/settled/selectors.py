"""What is kept of ended skins against what all entries say: cost, minutes, the steps gone through and the day from which it holds.

The day is worked out here entry by entry, and not as it was written.
"""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date

from django.db.models import prefetch_related_objects

from costing.make.batches.models import BatchSkin, StruckStay, Use
from costing.make.cost import rules as cost
from costing.make.cost.models import ArticleCost, SkinCost
from costing.make.cost.reallocation import selectors as reallocation
from costing.make.labour.models import LabourLine
from costing.make.steps import selectors as steps
from costing.report.audit.stock.selectors import Told
from inventory.base import selectors as workshop
from inventory.models import ArticleSkin, Skin
from inventory.money import half_up

ENDED = (Skin.Stage.FINISHED, Skin.Stage.LOST)


def findings(told: Told) -> Iterator[str]:
    """Every difference, one sentence each; nothing when the books are clean."""
    kept = {row.skin_id: row for row in SkinCost.objects.all()}
    skins = list(Skin.objects.order_by("pk"))
    ended = [skin for skin in skins if skin.stage in ENDED]
    entered, days = steps.entered(ended), _days(skins)
    places = workshop.places()
    for skin in ended:
        row = kept.pop(skin.pk, None)
        if row is None:
            yield f"Skin {skin.tag} is {skin.stage}, and its cost is not kept."
            continue
        whole = told.shares[skin.tag]
        pairs = (
            ("cost", row.exact, told.own[skin.tag].text()),
            ("book cost", row.book, half_up(whole.book(), places)),
            ("own minutes", row.own_minutes, half_up(whole.own_minutes, cost.EXACT_PLACES)),
            ("steps", row.entered, "\n".join(entered[skin.pk])),
            ("last day", row.settled_on, days[skin.pk]),
        )
        for what, stands, should in pairs:
            if stands != should:
                yield f"Skin {skin.tag}: its {what} is kept as {stands}; its entries say {should}."
    for skin in skins:
        if skin.pk in kept:
            yield f"Skin {skin.tag} is {skin.stage}, and a cost is kept as if it had ended."
    yield from _pieces({skin.pk: days[skin.pk] for skin in ended})


def _pieces(days: dict[int, date]) -> Iterator[str]:
    made_of: dict[int, list[int]] = defaultdict(list)
    for article, skin in ArticleSkin.objects.values_list("article", "skin"):
        made_of[article].append(skin)
    for row in ArticleCost.objects.select_related("article").order_by("pk"):
        skins = made_of[row.article_id]
        should = max(days[pk] for pk in skins) if skins and all(pk in days for pk in skins) else None
        if row.settled_on != should:
            yield f"Article {row.article.number} is settled from {row.settled_on}; the entries of its skins say {should}."


def _days(skins: list[Skin]) -> dict[int, date]:
    """By skin id: the last day of any entry that it bears something of, entry by entry."""
    last = {skin.pk: skin.date_in for skin in skins}
    there: dict[int | None, list[int]] = defaultdict(list)
    for stay in BatchSkin.objects.all():
        there[stay.batch_id].append(stay.skin_id)

    def happened(on: date | None, skins_of: list[int]) -> None:
        for pk in skins_of:
            last[pk] = max(last[pk], on or last[pk])

    for stay in BatchSkin.objects.all():
        happened(stay.joined_on, there[stay.batch_id])
    for struck in StruckStay.objects.all():
        happened(struck.on, [struck.skin_id, *there[struck.batch_id]])
    for use in Use.objects.select_related("posting__reversed_by").prefetch_related("skins"):
        named = [*there[use.batch_id], *(skin.pk for skin in use.skins.all())]
        back = getattr(use.posting, "reversed_by", None)
        happened(use.posting.on, named)
        happened(back.on if back else None, named)
    for line in LabourLine.objects.select_related("reversed_by").prefetch_related("skins"):
        named = [*there[line.batch_id], *(skin.pk for skin in line.skins.all())]
        back = getattr(line, "reversed_by", None)
        happened(line.on, named)
        happened(back.on if back else None, named)
    spread = list(reallocation.standing())
    prefetch_related_objects([each.skin for each in spread], "sale_lines__sale")
    for each in spread:
        pk = each.skin.pk
        happened(each.on, [pk])
        for scrap in each.skin.sale_lines.all():
            happened(scrap.sale.on, [pk])
        happened(last[pk], [stay.skin_id for stay in each.bearers])
    return last
