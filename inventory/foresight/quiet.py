"""Whether nothing has to be done about a material: the answer of `rules` to that one question, for a part of its work.

Owns no judgement of its own: what it says is what `rules.forecast` would say, or nothing. Must not read a database.
"""

from datetime import date, timedelta
from fractions import Fraction
from functools import lru_cache
from math import floor

from inventory.foresight import rules
from inventory.foresight.demand import Usual
from inventory.foresight.rules import KEPT, LOOK_AHEAD_DAYS, SERVICE, SPOILS_DAYS
from inventory.foresight.supply import Need, Supply


@lru_cache(KEPT)
def quiet(
    supply: Supply, needs: tuple[Need, ...], use: Usual, on: date, *, service: Fraction = SERVICE, origin: int = 0
) -> bool:
    """Whether a forecast asks for nothing; False also where only the forecast itself can tell.

    Nothing is late or planned beyond what is there, nothing spoils soon, there is no less than the reorder point, and on too few
    paths anything is lacking before an order of two weeks on would come. The same paths show that, drawn no further than that day.
    """
    until = LOOK_AHEAD_DAYS + supply.longest
    days = rules.horizon(supply, needs, on)
    soon = on + timedelta(days=max(until, SPOILS_DAYS + 1))
    if until >= days or any(parcel.best_before and parcel.best_before < soon for parcel in supply.parcels):
        return False
    if any(order.due < on for order in supply.coming) or rules.first_short(supply, needs, on):
        return False
    standing = rules.standing(needs)
    if use.rate and not standing and _below(supply, needs, use, on, service, origin):
        return False
    from inventory.foresight import simulation  # numpy takes long to load: only when something is forecast

    lacking, of = simulation.lacks(
        supply.parcels,
        supply.coming,
        needs,
        rules.streams(use, standing, on, days),
        on,
        days,
        until,
        origin=origin,
        lead=supply.lead.days,
    )
    return lacking <= floor((1 - service) * of)


def _below(supply: Supply, needs: tuple[Need, ...], use: Usual, on: date, service: Fraction, origin: int) -> bool:
    """Whether less is there and ordered than the reorder point. Drawn only where some path might use so much."""
    from inventory.foresight.simulation import most_used  # as in `quiet`

    there, days = supply.on_order + supply.good_on(on), supply.longest
    if (least := rules.at_once(use, needs)) > there:
        return True
    most = most_used(rules.while_ordered(use, on, days), days) if days else least
    return most > there and rules.reorder_point(supply, needs, use, on, service, origin) > there
