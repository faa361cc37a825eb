"""The channels as the arithmetic of prices takes them: one by its name, the usual one, or all."""

from costing.sell.pricing import rules as pricing
from costing.sell.pricing.channels.models import Channel
from inventory.errors import Refused

NO_CHANNEL = pricing.Channel("No selling cost")


def channel(name: str | None = None) -> pricing.Channel:
    """The channel of that name (a part of the name will do when only one fits), else the usual one, else none."""
    rows = list(Channel.objects.order_by("name"))
    if not name:
        usual = next((row for row in rows if row.usual), None)
        return plain(usual) if usual else NO_CHANNEL
    exact = [row for row in rows if row.name.casefold() == name.strip().casefold()]
    near = exact or [row for row in rows if name.strip().casefold() in row.name.casefold()]
    if len(near) == 1:
        return plain(near[0])
    names = ", ".join(f'"{row.name}"' for row in (near or rows)) or "none is set up yet"
    raise Refused(f'No single channel fits "{name}". Choose one of: {names}.', field="channel")


def channels() -> list[pricing.Channel]:
    return [plain(row) for row in Channel.objects.order_by("-usual", "name")]


def plain(row: Channel) -> pricing.Channel:
    return pricing.Channel(row.name, row.fee_percent, row.fixed_cost)
