"""The check of the books for its page: one at a time whoever asks for it, its result kept and shown with its age.

Kept in a small file of the data folder, so that several processes share it; it is worth nothing but the work that it spares.
"""

import json
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.utils import timezone

from workshop.reports import followed
from workshop.transfer import aside

FILE = "check.json"
SHARE = 100  # unasked for, checks take no more than this part of the time


@dataclass(frozen=True)
class Checked:
    """What was found, when it was begun, how long it took, and whether somebody's check runs just now."""

    findings: tuple[str, ...]
    at: datetime
    took: timedelta
    again: bool = False


def check(*, anew: bool = False) -> Checked | None:
    """The books worked out now, or what was found last where that is young or another check runs; None: the first one runs.
    `anew`: now, and the chain from its start."""
    kept = _kept()
    if kept and not anew and timezone.now() - kept.at < kept.took * SHARE:
        return kept
    with aside.one_at_a_time(Path(settings.DATA_DIR) / f".{FILE}") as mine:
        if not mine:
            return replace(kept, again=True) if kept else None
        begun = timezone.now()
        made = Checked(tuple(followed.findings(every=anew)), begun, timezone.now() - begun)
        _keep(made)
        return made


def _keep(made: Checked) -> None:
    told = {"findings": made.findings, "at": made.at.isoformat(), "took": made.took.total_seconds()}
    with suppress(OSError):  # a full disk: the next who asks works it out again
        aside.write(Path(settings.DATA_DIR) / FILE, json.dumps(told).encode())


def _kept() -> Checked | None:
    with suppress(OSError, ValueError, KeyError, TypeError):
        told = json.loads((Path(settings.DATA_DIR) / FILE).read_text("utf-8"))
        at = datetime.fromisoformat(told["at"])
        if at.tzinfo and at <= timezone.now():
            return Checked(tuple(map(str, told["findings"])), at, timedelta(seconds=told["took"]))
    return None
