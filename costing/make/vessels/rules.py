"""Whether the skins of a batch are in its tub, on its frames or in neither, by what was logged of its steps.

Owns that one answer. Must not know places or read a database.
"""

from collections.abc import Sequence
from datetime import date

from costing.make.steps.schedule import Laid, Uses


def vessel(laid: Sequence[Laid], on: date, *, filled: bool = False) -> Uses:
    """What holds the skins on a day: that of the open step, once they are in it.

    They are in it while a step lasts, and where the step before had it too. `filled`: something of the open step was put in,
    so they are in its tub although the step itself lasts no days. Before it begins, and after its last step, nothing holds
    them.

    >>> from costing.make.steps.schedule import Mark, Step, lay_out
    >>> steps = [Step("salt", "Salt"), Step("bath", "Take out", lasts_days=9, uses="tub"), Step("oil", "Oil")]
    >>> day = date(2025, 1, 11)
    >>> vessel(lay_out(steps, day, [Mark("salt", day, "done")]), day)
    'tub'
    >>> vessel(lay_out(steps, day, [Mark("salt", day, "done"), Mark("bath", day, "done")]), day)
    ''
    """
    open_ = next((each for each in laid if each.ended is None), None)
    if open_ is None:
        return ""
    ended = [each for each in laid if each.ended is not None]
    if ended and ended[-1].step.uses == open_.step.uses:
        return open_.step.uses
    there = open_.step.lasts_days > 0 or (filled and open_.step.uses == "tub")
    return open_.step.uses if there and open_.begins <= on else ""
