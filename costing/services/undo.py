"""The ten seconds in which a tap may be undone without a word. After them an entry is taken back on its own page."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.utils import timezone

from inventory.errors import Refused

SECONDS = 10
# The way of an answer to the phone and of the tap back; the button itself goes after SECONDS.
_ON_THE_WAY = 5


def refuse_late(written_at: datetime) -> None:
    """Refuse an undo that comes too late, and say the way that is left."""
    if timezone.now() > written_at + timedelta(seconds=SECONDS + _ON_THE_WAY):
        raise Refused(f"The {SECONDS} seconds for an undo are over. Take the entry back on its own page instead.")
