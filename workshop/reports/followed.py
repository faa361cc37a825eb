"""How far the chain of the books was followed: a mark in the data folder, so that the next check begins there.

It spares the work and proves nothing: who changes an entry before it is found when the chain is followed from its start again: when
that is asked for, and by itself once it was last done a week ago.
"""

import json
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.utils import timezone

from costing.report.audit import selectors as audit
from inventory.base.chain import selectors as chain
from inventory.base.chain.rules import Head
from workshop.transfer import aside

FILE = "followed.json"
HOLDS = timedelta(days=7)


def findings(*, every: bool = False) -> list[str]:
    """The books worked out, and their chain followed from where it was followed last; `every`: from its start. So too after a
    difference, and where the chain does not go through the mark any more."""
    mark = None if every else _kept()
    begun, end = (mark[1] if mark else timezone.now()), chain.head()
    found = audit.findings(after=mark[0] if mark else 0)
    _keep(Head() if found else end, begun)
    return found


def _keep(end: Head, begun: datetime) -> None:
    told = {"position": end.position, "digest": end.digest, "from_the_start": begun.isoformat()}
    with suppress(OSError):  # a full disk: the next check begins where this one did, or at the start
        aside.write(Path(settings.DATA_DIR) / FILE, json.dumps(told).encode())


def _kept() -> tuple[int, datetime] | None:
    with suppress(OSError, ValueError, KeyError, TypeError):
        told = json.loads((Path(settings.DATA_DIR) / FILE).read_text("utf-8"))
        end, begun = Head(int(told["position"]), str(told["digest"])), datetime.fromisoformat(told["from_the_start"])
        if timedelta() <= timezone.now() - begun < HOLDS and chain.holds(end):
            return end.position, begun
    return None
