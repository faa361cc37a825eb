"""What a forecast says to people: a state in two or three words, one sentence with its numbers, and what to buy."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from inventory import formats, money, units
from inventory.foresight.advice import Advice
from inventory.foresight.lot_size import Lot
from inventory.foresight.rules import Forecast, State
from inventory.foresight.selectors import Outlook
from inventory.materials.models import Material
from inventory.money import half_up

# How pressing a state is, as the marks of pages show it.
MARKS = {
    State.SHORT: "late",
    State.ORDER_NOW: "late",
    State.ORDER_BY: "now",
    State.SPOILS: "watch",
    State.ORDERED: "watch",
    State.FINE: "ok",
}
TO_ORDER = (State.SHORT, State.ORDER_NOW, State.ORDER_BY)
MONTH, SOON, YEAR = 30, 180, 365
WHY = {
    "minimum": " It is the least the supplier sends.",
    "usual": " More at once is cheaper over a year, carriage and keeping together.",
    "break": " That many reach a lower price.",
    "spoils": " More would spoil before it is used.",
}


def mark(seen: Forecast) -> str:
    return "late" if seen.late else MARKS[seen.state]


def state(seen: Forecast) -> str:
    """The state in a few words, its day in it."""
    match seen.state:
        case State.SHORT if seen.first_short:
            return f"Short for {seen.first_short.why}"
        case State.ORDER_NOW:
            return f"Order now{_overdue(seen)}"
        case State.ORDER_BY if seen.order_by:
            return f"Order by {_near(seen, seen.order_by)}"
        case State.SPOILS if seen.spoils:
            return f"Best before {_near(seen, seen.spoils[0])}"
        case State.ORDERED if seen.late:
            return f"Ordered, {days(seen.overdue_days)} late"
        case State.ORDERED if seen.next_due:
            return f"Ordered, due {_near(seen, seen.next_due)}"
    if seen.use.rate or seen.needs:
        return "Enough"
    return "No usual use" if seen.supply.on_hand else "None left"


def _near(seen: Forecast, day: date) -> str:
    """A day; of one that comes soon nobody needs the year."""
    return formats.day(day, year=(day - seen.on).days > SOON)


def _overdue(seen: Forecast) -> str:
    return f", overdue by {days(seen.overdue_days)}" if seen.overdue_days else ""


def days(count: int) -> str:
    """So many days."""
    return f"{count} day{'' if count == 1 else 's'}"


def reason(outlook: Outlook) -> str:
    """What is there and what empties it, in one sentence."""
    seen, unit = outlook.forecast, outlook.material.unit
    have = f"{units.show(seen.supply.on_hand, unit)} left"
    if seen.spoiled:
        have += f", {units.show(seen.spoiled, unit)} of it past the best-before day"
    point = seen.reorder_point
    if seen.short:
        who = list(dict.fromkeys(need.why for need in seen.needs))
        needs = f"{', '.join(who)} {'need' if len(who) > 1 else 'needs'} {units.show(seen.needed, unit)}"
        return f"{have}; {needs}, {units.show(seen.short, unit)} short."
    if seen.use.rate and not seen.needs and seen.supply.good_on(seen.on) + seen.supply.on_order < point:
        return f"{have}; the reorder point is {about(point, unit)}: {_point(seen)}."
    if not (seen.use.rate or seen.needs):
        return f"{have}; nothing planned needs it, and it has no usual use."
    if seen.runs_out_on is None and seen.supply.coming:
        return f"{have}; with what is ordered it is enough."
    if seen.runs_out_on is None:
        return f"{have}; nothing planned needs more, and usual use does not empty it."
    if seen.reason == "planned":
        return f"{have}; plans and usual use empty it on {formats.day(seen.runs_out_on)}."
    return f"{have}; at your usual use it lasts to about {formats.day(seen.runs_out_on)}."


def _point(seen: Forecast) -> str:
    """What the reorder point comes from."""
    if seen.use.usual_batch == seen.reorder_point:
        return "one usual batch"
    if seen.use.usual_use == seen.reorder_point:
        return "what is usually taken at once"
    return f"what may go in the {days(max(seen.supply.lead.days) + seen.supply.safety_days)} until a delivery"


def pressing(outlook: Outlook) -> str:
    """The reason, and where it is too late for a batch, when an order of today comes."""
    seen = outlook.forecast
    if not (seen.first_short and seen.state == State.SHORT):
        return reason(outlook)
    day = formats.day(max(seen.first_short.on, seen.on))
    return f"{reason(outlook)} {seen.first_short.why} needs it on {day}; ordered today it comes about {_arrival(seen)}."


def why(outlook: Outlook) -> str:
    """The reason, what is ordered, how long an order takes, and the risk."""
    seen, unit = outlook.forecast, outlook.material.unit
    told = [pressing(outlook)]
    if seen.state != State.SHORT and seen.order_by and seen.order_by <= seen.on + timedelta(days=YEAR):
        told.append(f"{_lead(seen)}: order by {formats.day(seen.order_by)}.")
    told.extend(_on_order(seen, unit))
    if seen.spoils:
        last, quantity = seen.spoils
        told.append(f"About {about(quantity, unit)} will not be used before the best-before day, {formats.day(last)}.")
    if seen.alert and 0 < seen.risk < 1:
        told.append(f"The chance to run short before goods ordered today come is {percent(seen.risk)}.")
    told.extend(f"Assumed: {assumed}." for assumed in _assumed(seen))
    return " ".join(told)


def action(outlook: Outlook, buy: Advice) -> str:
    """What to do, in a few words."""
    seen = outlook.forecast
    what = packs(buy.lot, outlook.material)
    match seen.state:
        case State.SHORT | State.ORDER_NOW if what:
            return f"Order {what} today"
        case State.ORDER_BY if what and seen.order_by:
            return f"Order {what} by {_near(seen, seen.order_by)}"
        case State.FINE if seen.runs_out_on:
            return f"Enough until about {formats.day(seen.runs_out_on)}"
    return state(seen)


def packs(lot: Lot, material: Material) -> str:
    """How much to buy: one 2 kg pack, 3 packs of 2 kg, or loose."""
    if not lot.quantity:
        return ""
    if not material.pack_quantity:
        return about(lot.quantity, material.unit)
    each = units.show(material.pack_quantity, material.unit)
    return f"one {each} pack" if lot.packs == 1 else f"{lot.packs} packs of {each}"


def cost(buy: Advice, currency: str) -> str:
    """About what it costs and from whom, where a price is known: the last one paid, or the price list's."""
    whom = f" from {buy.supplier.name}" if buy.supplier else ""
    if buy.cost is None or not buy.lot.quantity:
        return f"Price not known yet{whom}." if buy.lot.quantity else ""
    bring = {None: "", True: ", carriage free"}.get(
        buy.carriage if buy.carriage is None else not buy.carriage, " with carriage"
    )
    return f"About {money.show(buy.cost, currency)}{bring}{whom}.{WHY.get(buy.lot.why, '')}"


def _lead(seen: Forecast) -> str:
    takes = seen.supply.lead
    own = " by your own orders" if takes.learned else ""
    spare = f", {days(seen.supply.safety_days)} to spare" if seen.supply.safety_days else ""
    if not takes.usual:
        return f"It is bought on the day{spare}"
    return f"Delivery takes {days(takes.usual)}{own}{spare}"


def _arrival(seen: Forecast) -> str:
    return formats.day(seen.on + timedelta(days=seen.supply.lead.usual))


def _on_order(seen: Forecast, unit: str) -> list[str]:
    told = []
    for order in seen.supply.coming:
        amount = units.show(order.quantity, unit)
        if order.due < seen.on:
            told.append(
                f"{amount} of {order.order} should have come by {formats.day(order.due)}: ask for it, or close the order."
            )
        else:
            told.append(f"{amount} of {order.order} should come by {formats.day(order.due)}.")
    return told


def _assumed(seen: Forecast) -> list[str]:
    """What usual use rests on where the books are thin. Of batches a plan says more."""
    habits = [seen.use.besides] if seen.needs else [seen.use.batches, seen.use.besides]
    return [habit.assumed for habit in habits if habit.assumed and habit.last]


def usual(seen: Forecast, unit: str) -> str:
    """The usual use said for a month of 30 days, to two figures."""
    exact = seen.use.rate * MONTH / units.ratio(unit)
    return f"{units.told(half_up(exact, two_figures(exact)), unit)} in {MONTH} days"


def percent(share: Fraction) -> str:
    return f"{half_up(100 * share, 0)} %"


def level(outlook: Outlook) -> str:
    """What the drawn jar shows, for those who do not see it."""
    said = f"{outlook.filled} % of this year's highest stock"
    if outlook.need is None:
        return said
    return f"{said}; reorder point {about(outlook.forecast.reorder_point, outlook.material.unit)}"


def about(amount: Fraction | Decimal, unit: str) -> str:
    """A worked-out amount (base units) in `unit`, rounded up to two figures: a reorder point of 0.067068 kg says no more
    than 0.068 kg, and rounding down would order late.

    >>> about(Decimal("67.068"), "kg"), about(Decimal("0.477"), "piece"), about(Decimal(120400), "kg")
    ('0.068 kg', '1 pc', '121 kg')
    """
    exact = Fraction(amount) / units.ratio(unit)
    places = 0 if unit == "piece" else two_figures(exact)
    return units.told(money.ceil_to(exact, places), unit)


def two_figures(exact: Fraction) -> int:
    """The places that show two figures of a number: one for 3.4, two for 0.34, none from 10 on; six at most.

    >>> two_figures(Fraction(17, 5)), two_figures(Fraction(17, 50)), two_figures(Fraction(34))
    (1, 2, 0)
    """
    return max(0, min(6, 1 - half_up(exact, 6).adjusted()))


def listed(outlook: Outlook) -> dict[str, Any]:
    """What the list of the shelf says of a forecast, by the names its templates use."""
    seen = outlook.forecast
    return {
        "outlook": outlook,
        "seen": seen,
        "state_mark": mark(seen),
        "state_said": state(seen),
        "level_said": level(outlook),
    }


def brief(outlook: Outlook, buy: Advice | None, currency: str) -> dict[str, Any]:
    """What one line says of a forecast about which something must be done, by the names its template uses."""
    seen = outlook.forecast
    return {
        "outlook": outlook,
        "seen": seen,
        "state_mark": mark(seen),
        "state_said": state(seen),
        "buy": buy,
        "action_said": action(outlook, buy) if buy else "",
        "to_order": bool(buy and buy.lot.quantity and seen.state in TO_ORDER),
        "cost_said": cost(buy, currency) if buy and seen.state in TO_ORDER else "",
        "reason_said": pressing(outlook),
    }


def told(outlook: Outlook, buy: Advice | None = None, currency: str = "") -> dict[str, Any]:
    """Everything a page says of a forecast, by the names its templates use."""
    return brief(outlook, buy, currency) | {
        "level_said": level(outlook),
        "why": why(outlook),
        "use_said": usual(outlook.forecast, outlook.material.unit),
    }
