"""More work on a finished piece: making good, a lining, a repair. It is late cost of the skins it was made of."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from django.db import transaction

from costing.services import batches, labour
from costing.services.batches import Amount
from inventory.errors import Refused
from inventory.models import Article
from inventory.services import checks, requests
from inventory.services import skins as skin_services
from inventory.services.permits import Act, Person, require

TASK_LONGEST = 80


@transaction.atomic
def more(
    *,
    article: Article,
    on: date,
    task: str,
    minutes: Decimal | None = None,
    amounts: Sequence[Amount] = (),
    by: Person = None,
    request_key: str | None = None,
) -> Article:
    """Materials and minutes on the skins of a piece, with its number in the reason. Pieces cut from one skin share it."""
    require(by, Act.SHED)
    if done := requests.earlier(request_key, Article, "more work"):
        return done
    tags = sorted(part.skin.tag for part in article.parts.select_related("skin"))
    # Skins before everything else, as everywhere; then the piece, so that it cannot be sold meanwhile.
    skin_services.lock(tags)
    row = Article.objects.select_for_update(of=("self",)).get(pk=article.pk)
    if row.gone_on is not None:
        raise Refused(f"{row.number} left on {row.gone_on}; nothing more can be done on it.", field="on")
    if on < row.finished_on:
        raise Refused(f"{row.number} was finished on {row.finished_on}. Choose that day or a later one.", field="on")
    task = checks.text(task, "What was done", field="task", longest=TASK_LONGEST - 24, needed=True)
    if minutes is None and not amounts:
        raise Refused("Nothing was entered. Give the minutes, or a material and its amount.", field="minutes")
    reason = f"{row.number}: {task}"
    if amounts:
        batches.put_in_work(batch=None, on=on, amounts=amounts, tags=tags, by=by, reason=reason)
    if minutes is not None:
        labour.log(on=on, task=reason, minutes=minutes, tags=tags, by=by)
    row.refresh_from_db()
    return requests.keep(request_key, row)
