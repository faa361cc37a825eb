"""Channels: where pieces are sold, with their fees and what a sale costs the maker. One of them is the usual one."""

from decimal import Decimal

from costing.sell.pricing.channels.models import Channel
from inventory.base import checks
from inventory.base.checks import coins
from inventory.base.services import service
from inventory.errors import Refused, Taken
from inventory.models import Place
from inventory.money import ZERO
from inventory.permits import Act, Person


@service(Act.SETUP, makes=Channel)
def save(
    *,
    name: str,
    fee_percent: Decimal,
    fixed_cost: Decimal,
    fee_fixed: Decimal = ZERO,
    resells: bool = False,
    relief: str = "",
    usual: bool = False,
    place: Place | None = None,
    channel: Channel | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Channel:
    """A new channel, or a changed one. Making one usual takes the word from the other.

    `place`: the gallery whose pieces, on sale or return, are sold through this channel and no other; None for nowhere.
    `resells`: it sells to the public itself. `relief`: why no tax is charged to it then; empty: tax as ever.
    """
    name = checks.text(name, "The channel's name", field="name", longest=60, needed=True)
    own = channel.pk if channel else 0
    if Channel.objects.filter(name__iexact=name).exclude(pk=own).exists():
        raise Taken("The channel", name, field="name")
    checks.held(checks.not_negative(fee_percent, "The selling fee", field="fee_percent"), field="fee_percent")
    if fee_percent >= 100:
        raise Refused(f"A selling fee of {fee_percent} % leaves nothing. Enter less than 100.", field="fee_percent")
    if place is not None and (other := Channel.objects.filter(place=place).exclude(pk=own).first()):
        raise Refused(f"{place} sells through {other} already. Take it off there first.", field="place")
    relief = checks.text(relief, "The reason", field="relief", longest=120)
    if relief and not resells:
        raise Refused(
            "Only who sells to the public itself buys without tax. Choose that it sells, or take the reason out.",
            field="relief",
        )
    if usual:
        Channel.objects.filter(usual=True).update(usual=False)
    row = channel or Channel()
    row.name, row.fee_percent, row.usual, row.place = name, fee_percent, usual, place
    row.resells, row.relief = resells, relief
    row.fee_fixed = coins(fee_fixed, "The fixed fee", field="fee_fixed")
    row.fixed_cost = coins(fixed_cost, "The fixed cost", field="fixed_cost")
    row.save()
    return row
