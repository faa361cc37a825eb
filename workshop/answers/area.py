"""The area of a hide from a photo as plain data for JSON, and in words. Numbers are strings, as everywhere."""

from collections.abc import Iterable, Mapping
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from costing.make.readings.areas import photo, rules, taps
from costing.make.readings.areas.taps import Defect, Tapped
from inventory import money, units
from inventory.base import pictures
from inventory.errors import Refused
from workshop.answers.plain import Shape


def area_answer(options: Mapping[str, Any]) -> Shape:
    """`options`: the words of the command line by their names, not yet judged."""
    found = photo.measured(_content(options["photo"]), _tapped(options)).measured
    area = rules.to_cm2(found.area)
    return {
        "area_dm2": _dm2(area),
        "area_sq_ft": f"{money.half_up(units.from_base(area, 'sq_ft', 'cm2'), 2):f}",
        "perimeter_mm": _whole(found.perimeter),
        "length_mm": _whole(found.length),
        "width_mm": _whole(found.width),
        "plus_minus_dm2": _dm2(rules.to_cm2(found.plus_minus)),
    }


def area_lines(found: Shape) -> Iterable[str]:
    yield f"About {found['area_dm2']} dm2 ({found['area_sq_ft']} sq ft), ± {found['plus_minus_dm2']} dm2."
    yield f"{found['length_mm']} mm long, {found['width_mm']} mm wide, {found['perimeter_mm']} mm round."
    yield "Approximate: leather traded by area is measured by the pin-wheel machine (ISO 11646) or electronically (ISO 19076)."


def _tapped(options: Mapping[str, Any]) -> Tapped:
    outline = taps.points(options["outline"], "outline")
    holes = tuple(Defect("hole", taps.points(text, "holes")) for text in options["hole"])
    if options["apart"] is not None:
        if options["frame"] or options["corners"] or not options["marks"]:
            raise Refused("With --apart give the two marks by --marks, and no frame.", field="corners")
        return Tapped(
            taps.points(options["marks"], "corners"), outline, holes, apart=_mm(options["apart"], "--apart", "297")
        )
    if not options["frame"] or not options["corners"] or options["marks"]:
        raise Refused(
            "Give --frame and --corners; or, in a photo from straight above, --apart and --marks.", field="frame"
        )
    sides = options["frame"].casefold().replace("×", "x").split("x")
    if len(sides) != 2:
        raise Refused(
            f"“{options['frame']}” is no frame. Write its inside in mm as 1200x1500, width first.", field="frame"
        )
    wide, high = (_mm(side, "--frame", "1200x1500") for side in sides)
    return Tapped(taps.points(options["corners"], "corners"), outline, holes, wide, high)


def _mm(text: str, name: str, example: str) -> Decimal:
    try:
        found = Decimal(text.strip())
    except InvalidOperation:
        found = Decimal("NaN")
    if not found.is_finite():
        raise Refused(f"“{text}” is no length in mm. Write {name} {example}.", field="frame")
    return found


def _content(path: str) -> bytes:
    file = Path(path)
    try:
        pictures.refuse_large(file.stat().st_size)
        return file.read_bytes()
    except OSError as fault:
        raise Refused(f"{path} cannot be read: {fault.strerror}. Check the name of the photo.", field="photo") from None


def _dm2(cm2: Decimal) -> str:
    return f"{money.half_up(cm2 / 100, 2):f}"


def _whole(millimetres: float) -> str:
    return f"{money.half_up(Decimal(millimetres), 0):f}"
