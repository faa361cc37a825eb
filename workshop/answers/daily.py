"""The daily questions as plain data for JSON, and in words. Numbers are strings: no reader shall make floats of them."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from costing.make.additions.selectors import Addition
from costing.make.errors import plain
from costing.make.steps.agenda import selectors as agenda
from costing.sell.pricing import selectors as pricing_read
from costing.sell.pricing.rules import Meaning
from costing.sell.pricing.selectors import Price
from inventory import money, units
from inventory.base import selectors as workshop
from workshop.answers.plain import Shape, coins

PARTS = ("skin_price", "materials", "paid_help", "own_time", "overhead", "frame_wear")


def price_answer(number: str, channel: str | None) -> Shape:
    price = pricing_read.find(number, pricing_read.channel(channel))
    return {
        "article": price.number,
        "currency": workshop.current().currency,
        "channel": price.channel.name,
        "book_cost": coins(price.book),
        "full_cost": coins(price.full),
        "late_cost": {"book": coins(price.late_book), "full": coins(price.late_full)},
        "hours": f"{price.hours:f}",
        "parts": {name: coins(getattr(price.cost, name)) for name in PARTS},
        "area": _area(price),
        **_area_from(price),
        **{f"per_{unit}": {name: coins(cost) for name, cost in price.per(unit).items()} for unit in ("sq_ft", "dm2")},
        "floors": {name: coins(getattr(price.floors, name)) for name in ("cash", "wage", "full")},
        "list_price": coins(price.list_price),
        "tax": {"percent": f"{price.footing.percent.normalize():f}", "in_price": price.footing.included},
        "at_list_price": _sums(price.at_list),
        "earned_per_hour": coins(price.earned_per_hour),
    }


def _sums(sums: Meaning | None) -> Shape | None:
    if sums is None:
        return None
    return {"buyer_pays": coins(sums.pays), "tax": coins(sums.tax), "fee": coins(sums.fee), "kept": coins(sums.kept)}


def _area(price: Price) -> Shape | None:
    if price.area is None:
        return None
    feet = money.half_up(units.from_base(price.area, "sq_ft", "cm2"), 2)
    return {"dm2": units.number(price.area, "dm2"), "sq_ft": f"{feet:f}"}


def _area_from(price: Price) -> Shape:
    """Where the area came from, and what a photo of it may be off."""
    photo = price.photo
    between = price.full_between("sq_ft")
    return {
        "area_from": None if price.area is None else "photo" if photo else "hand",
        "area_on": photo.on.isoformat() if photo else None,
        "area_plus_minus_dm2": units.number(photo.plus_minus, "dm2") if photo else None,
        "full_per_sq_ft_between": [coins(end) for end in between] if between else None,
    }


def _rough(dm2: str) -> str:
    """An area for a sentence: no photo and no tape tells more than a hundredth."""
    return f"{money.half_up(Decimal(dm2), 2).normalize():f}"


def price_lines(found: Shape) -> Iterable[str]:
    area, cur = found["area"], found["currency"]
    costs = f"book cost {found['book_cost']} {cur}, full cost {found['full_cost']} {cur}"
    yield f"{found['article']}: {costs}, {found['hours']} h of work."
    if area:
        feet, ends = found["per_sq_ft"], found["full_per_sq_ft_between"]
        told = "by hand"
        if found["area_from"] == "photo":
            told = f"by a photo of {found['area_on']}, ± {_rough(found['area_plus_minus_dm2'])} dm2"
        between = f", {ends[0]} to {ends[1]} {cur} by its ±" if ends else ""
        size = f"{_rough(area['dm2'])} dm2 ({area['sq_ft']} sq ft) {told}"
        yield f"About {size}: {feet['book']} {cur} book and {feet['full']} {cur} full a sq ft{between}."
    floors = found["floors"]
    yield (
        f"Least at {found['channel']}: {floors['cash']} {cur} loses no cash, {floors['wage']} {cur} pays the hours, "
        f"{floors['full']} {cur} pays everything."
    )
    if found["list_price"] and found["earned_per_hour"]:
        yield f"At the list price of {found['list_price']} {cur} it earns {found['earned_per_hour']} {cur} an hour."
    if (sums := found["at_list_price"]) and Decimal(sums["tax"]):
        yield f"The buyer pays {sums['buyer_pays']} {cur}, {sums['tax']} {cur} of it tax; you keep {sums['kept']} {cur}."


def due_answer(on: date) -> Shape:
    return {
        "on": on.isoformat(),
        "currency": workshop.current().currency,
        "groups": [
            {
                "place": group.place,
                "risk": coins(group.stake.whole),
                "minutes": str(group.minutes),
                "tasks": [_task(task) for task in group.tasks],
            }
            for group in agenda.groups(on)
        ],
    }


def _task(task: agenda.Task) -> Shape:
    return {
        "kind": task.kind,
        "place": task.place,
        "batch": task.batch.number,
        "step": task.step.name if task.step else "",
        "words": task.due.words,
        "state": task.due.state,
        "since": task.due.due.isoformat(),
        "to_begin": task.due.to_begin,
        "latest": task.due.latest.isoformat(),
        "late_days": str(task.due.late_days),
        "day": str(task.nth),
        "of": str(task.of),
        "minutes": str(task.due.minutes),
        "risk": coins(task.stake.whole),
        "skins": list(task.skins),
        "cautions": list(task.cautions),
        **(_addition(task.addition) if task.addition else {}),
    }


def _addition(addition: Addition) -> Shape:
    """What is to go in, in the maker's own measure; no quantity where a measure of the batch is missing."""
    quantity = addition.quantity
    measure = (
        {"quantity": None, "unit": None} if quantity is None else {"quantity": plain(quantity), "unit": addition.unit}
    )
    return {"material": addition.material.code, **measure}


def due_lines(found: Shape) -> Iterable[str]:
    if not found["groups"]:
        yield f"Nothing is due in the shed (as of {found['on']})."
    for group in found["groups"]:
        for task in group["tasks"]:
            how_long = "" if task["of"] == "0" or task["to_begin"] else f", day {task['day']} of {task['of']}"
            step = "" if task["step"] in ("", task["words"]) else f" ({task['step']}{how_long})"
            yield (
                f"{task['place']}: {task['batch']} {task['words']}{step or how_long}, {_when(task)}; "
                f"{task['risk']} {found['currency']} at risk."
            )


def _when(task: Shape) -> str:
    late = task["late_days"]
    if task["state"] == "overdue":
        how = "late to begin" if task["to_begin"] else "overdue"
        when = f"{how} {late} day{'' if late == '1' else 's'}, since {task['since']}"
    else:
        when = "due today" if task["state"] == "due" else f"coming on {task['since']}"
    return when if task["latest"] == task["since"] else f"{when}, safe until {task['latest']}"
