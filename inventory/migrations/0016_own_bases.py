"""What is spoken of in pounds, gallons or feet is counted in ounces, fluid ounces and inches from now on.

Every quantity of such a material is worked out anew: from the measure as it was typed wherever that says the quantity that is
kept, else from the shortest figure in its unit that does, else exactly, to a thousandth. A reversal takes back what it took
back. What the draws leave of each lot, and each balance, is added up again. Money stays as it is. Where a shelf would come
below nothing, or an entry to nothing (a few hundredths of a gram), the material stays in grams and is spoken of in kilograms.

Weights and areas of skins get the unit they are spoken of in: kilograms and square decimetres, or pounds and square feet where
that is the shorter figure.
"""

import re
from collections import defaultdict
from decimal import Decimal
from fractions import Fraction

from django.db import migrations, models

from inventory import units
from inventory.errors import Refused
from inventory.money import half_up

BASES = [
    *("g", "mL", "mm", "cm2", "piece"),
    *("oz", "us_fluid_ounce", "imperial_fluid_ounce", "cubic_inch", "inch", "sq_inch"),
]
LARGE = {"g": "kg", "mL": "L", "mm": "m", "cm2": "m2"}
PLAIN = 3  # decimals of a figure that somebody may well have typed
LEAST = Decimal("0.001")
PACKS = re.compile(r"([\d.]+) x (.+)")


class Misfit(Exception):
    """Rounded to thousandths of the new base, the entries of a material would not hold together."""


class Counted:
    """One material, and how its quantities are counted anew."""

    def __init__(self, material):
        self.unit, self.old, self.density = material.unit, material.base, material.density_g_per_ml
        self.new = units.base_of(material.unit)

    def exactly(self, amount):
        """An amount (old base, of either sign) in the new base."""
        short = units.from_base(abs(amount), self.unit, self.old)
        if short == half_up(short, PLAIN):
            found = half_up(Fraction(short) * units.ratio(self.unit, self.new), PLAIN)
        else:
            found = half_up(Fraction(abs(amount)) * units.ratio(self.old, self.new), PLAIN)
        return -found if amount < 0 else found

    def anew(self, amount, typed):
        """An amount by the measure that was typed, where that says it."""
        packs, measure = PACKS.fullmatch(typed).groups() if PACKS.fullmatch(typed) else ("1", typed)
        try:
            figure, unit = units.parse(measure)
            whole = figure * Decimal(packs)
            if self._based(whole, unit, self.old) == abs(amount):
                found = self._based(whole, unit, self.new)
                return -found if amount < 0 else found
        except (Refused, ArithmeticError):
            pass
        return self.exactly(amount)

    def pack(self, amount, typed):
        found = PACKS.fullmatch(typed)
        return max(self.anew(amount, found[2] if found else ""), LEAST)

    def _based(self, amount, unit, base):
        return units.to_base(amount, unit, base, density_g_per_ml=self.density)


def recount(apps, schema_editor):
    Material = apps.get_model("inventory", "Material")
    for material in Material.objects.exclude(base="piece").order_by("pk"):
        counted = Counted(material)
        if counted.new == counted.old:
            continue
        try:
            _recount(apps, material, counted)
        except Misfit:
            material.unit = LARGE[counted.old]
            material.save(update_fields=["unit"])


def _recount(apps, material, counted):
    """Works everything out first, so that a misfit leaves the books as they were."""
    movements = list(
        apps.get_model("inventory", "Movement")
        .objects.filter(material=material)
        .select_related("posting", "delivery_line")
        .order_by("pk")
    )
    lots = {lot.pk: lot for lot in apps.get_model("inventory", "Lot").objects.filter(material=material)}
    came = {lot.movement_id: lot for lot in lots.values()}
    draws = defaultdict(list)
    for draw in apps.get_model("inventory", "LotDraw").objects.filter(lot__in=lots).order_by("pk"):
        draws[draw.movement_id].append(draw)
    left = {pk: [Decimal(0), Decimal(0)] for pk in lots}  # of each lot: in the old base, and in the new
    gone = defaultdict(list)  # by posting and lot: what was drawn, in the old base and in the new
    was = [movement.quantity for movement in movements]
    for movement in movements:
        wanted = counted.anew(movement.quantity, movement.typed)
        lot = came.get(movement.pk)
        if lot is not None:
            left[lot.pk] = [movement.quantity, wanted]
            movement.quantity = wanted
            continue
        _draw(movement, draws[movement.pk], wanted, counted, left, gone)
    _hold(movements, was)
    for pk, lot in lots.items():
        lot.quantity = left[pk][1]
    balance = Decimal(0)
    for movement in movements:
        balance += movement.quantity
        movement.quantity_left = balance
    material.base, material.on_hand = counted.new, balance
    if material.pack_quantity is not None:
        material.pack_quantity = max(counted.exactly(material.pack_quantity), LEAST)
    material.save(update_fields=["base", "on_hand", "pack_quantity"])
    for row in [*lots.values(), *(draw for each in draws.values() for draw in each)]:
        row.save(update_fields=["quantity"])
    for movement in movements:
        movement.save(update_fields=["quantity", "quantity_left"])
        line = getattr(movement, "delivery_line", None)
        if line is not None:
            line.pack_quantity = counted.pack(line.pack_quantity, movement.typed)
            line.save(update_fields=["pack_quantity"])


def _draw(movement, parts, wanted, counted, left, gone):
    """What each lot bears of a movement: together what is wanted, except that a lot that was emptied is empty, and only that."""
    rest, back = wanted, movement.posting.reverses_id
    for at, draw in enumerate(parts):
        was, lot = draw.quantity, left[draw.lot_id]
        drawn = rest if at == len(parts) - 1 else counted.exactly(was)
        mirror = next((pair for pair in gone[back, draw.lot_id] if pair[0] == -was), None) if back else None
        if mirror is not None:
            gone[back, draw.lot_id].remove(mirror)
            drawn = -mirror[1]
        elif was + lot[0] == 0:
            drawn = -lot[1]
        elif drawn + lot[1] <= 0:
            drawn = LEAST - lot[1]
        lot[0], lot[1] = lot[0] + was, lot[1] + drawn
        if lot[1] < 0 or (lot[0] == 0) != (lot[1] == 0):
            raise Misfit
        rest -= drawn
        gone[movement.posting_id, draw.lot_id].append((was, drawn))
        draw.quantity = drawn
    if parts:
        drawn = sum(draw.quantity for draw in parts)
        if (drawn < 0) != (movement.quantity < 0):
            raise Misfit
        movement.quantity = drawn
    else:
        movement.quantity = wanted


def _hold(movements, was):
    """Nothing moves nothing, and when each was written no day from its own on was below nothing, and empty only if it was."""
    days = defaultdict(lambda: (Decimal(0), Decimal(0)))
    before = now = Decimal(0)
    for movement, moved in zip(movements, was, strict=True):
        old, new = days[movement.on]
        days[movement.on] = old + moved, new + movement.quantity
        before, now = before + moved, now + movement.quantity
        if movement.quantity == 0 or not _alike(before, now):
            raise Misfit
        old, new = before, now
        for day in sorted((day for day in days if day > movement.on), reverse=True):
            old, new = old - days[day][0], new - days[day][1]
            if not _alike(old, new):
                raise Misfit


def _alike(before, now):
    return now >= 0 and (before == 0) == (now == 0)


def speak(apps, schema_editor):
    """A skin that weighs 4082.331 g was told as 9 lb."""
    for skin in apps.get_model("inventory", "Skin").objects.all():
        skin.weight_unit = _shorter(("kg", "lb"), "g", skin.green_weight, skin.dry_weight)
        skin.area_unit = _shorter(("dm2", "sq_ft"), "cm2", skin.wet_area, skin.dry_area)
        skin.save(update_fields=["weight_unit", "area_unit"])


def _shorter(choices, base, *amounts):
    """Only where the usual unit cannot have been typed: it needs more decimals than anybody writes, and the other does not."""
    usual, other = (
        max((units.decimals(units.from_base(amount, unit, base)) for amount in amounts if amount), default=0)
        for unit in choices
    )
    return choices[usual > PLAIN >= other]


class Migration(migrations.Migration):

    dependencies = [
        ('inventory', '0015_corrected_deliveries'),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name='material',
            name='material_base_known',
        ),
        migrations.AddField(
            model_name='skin',
            name='weight_unit',
            field=models.CharField(default='kg', max_length=24),
        ),
        migrations.AddField(
            model_name='skin',
            name='area_unit',
            field=models.CharField(default='dm2', max_length=24),
        ),
        migrations.AlterField(
            model_name='material',
            name='base',
            field=models.CharField(max_length=24),
        ),
        migrations.RunPython(recount),
        migrations.RunPython(speak),
        migrations.AddConstraint(
            model_name='material',
            constraint=models.CheckConstraint(condition=models.Q(('base__in', BASES)), name='material_base_known'),
        ),
    ]
