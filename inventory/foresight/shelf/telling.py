"""What a material's page says besides its forecast's own sentence: what waiting a week costs, and what ordering goes by."""

from datetime import timedelta

from inventory import formats
from inventory.foresight import words
from inventory.foresight.rules import WEEK, Forecast
from inventory.foresight.selectors import Outlook
from inventory.materials.models import Material
from inventory.substances import SUBSTANCES


def under_name(material: Material) -> list[str]:
    """What it is and where, in one line under its name."""
    known = SUBSTANCES.get(material.substance)
    told = (material.code, known.formula if known else "", material.place, material.supplier)
    return [str(each) for each in told if each]


def waiting(seen: Forecast) -> str:
    """The cost of ordering a week later than today; empty where nothing is used and nothing planned."""
    if not (seen.use.rate or seen.needs):
        return ""
    now, later = words.percent(seen.risk), words.percent(seen.risk_in_a_week)
    if later == now:
        told = f"Waiting a week leaves the chance of running short at {now}."
    else:
        told = f"Waiting a week raises the chance of running short from {now} to {later}."
    return f"{told} {_first(seen)}".strip()


def _first(seen: Forecast) -> str:
    """Which batch fails first, and how long it then waits."""
    first = seen.first_short
    if first is None:
        return ""
    needed = max(first.on, seen.on)
    today = (seen.on + timedelta(days=seen.supply.lead.usual) - needed).days
    if today > 0:
        return f"{first.why} waits about {words.days(today)} for it if it is ordered today, {words.days(today + WEEK)} then."
    if today + WEEK > 0:
        return f"{first.why} would be the first to wait for it, about {words.days(today + WEEK)}."
    return f"{first.why}, the first that needs it, would still have it on {formats.day(needed)}."


def goes_by(outlook: Outlook) -> list[tuple[str, str]]:
    """Label and value of what says when to order."""
    seen, unit = outlook.forecast, outlook.material.unit
    told = [("Usual use", words.usual(seen, unit) if seen.use.rate else "none in the past two years")]
    if seen.reorder_point:
        told.append(("Reorder point", words.about(seen.reorder_point, unit)))
    return told
