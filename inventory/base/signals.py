"""What the ground says or asks without knowing who hears it, and how a floor names who answers.

An answer is named and not imported: a worker that starts loads it only when its question is first asked.
"""

from typing import Any

from django.dispatch import Signal
from django.utils.module_loading import import_string

# A skin was described anew: weight and area decide how a shared bath is borne, and this floor knows nothing of costs.
described = Signal()

# Before an entry is reversed: a floor above that has money on it may refuse.
reversing = Signal()

# Before the currency is changed; who holds money answers whether there is any.
money_sought = Signal()

# Asked with `materials` (their keys) and `on`; each answer is what was used of them, by key.
uses_sought = Signal()

# Asked with `on`; each answer is what is planned by material (its key).
needs_sought = Signal()


def answered(signal: Signal, by: str, *, why: str) -> None:
    """From here on the function of that dotted name hears the signal; `why`: what holds by that, said once for each."""

    def answer(**told: Any) -> object:
        return import_string(by)(**told)

    signal.connect(answer, weak=False, dispatch_uid=why)
