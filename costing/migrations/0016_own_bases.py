"""What a recipe asks for, and what was planned of it, of materials that are counted in ounces, fluid ounces and inches now."""

from decimal import Decimal
from fractions import Fraction

from django.db import migrations

from inventory import units
from inventory.errors import Refused
from inventory.money import half_up

METRIC = ("g", "mL", "mm", "cm2", "piece")
LEAST = Decimal("0.001")


def recount(apps, schema_editor):
    rows = apps.get_model("costing", "RecipeLine").objects.exclude(basis="percent_of_weight")
    for line in rows.exclude(material__base__in=METRIC).select_related("material"):
        line.amount = max(_anew(line.amount, line.typed, line.material), LEAST)
        line.save(update_fields=["amount"])
    planned = apps.get_model("costing", "PlannedAmount").objects.filter(quantity__isnull=False)
    for row in planned.exclude(movement__material__base__in=METRIC).select_related("movement__material"):
        row.quantity = _anew(row.quantity, row.movement.typed, row.movement.material)
        row.save(update_fields=["quantity"])


def _anew(amount, typed, material):
    old = units.metric_of(material.base)
    try:
        measure = units.parse(typed)
        if units.to_base(*measure, old, density_g_per_ml=material.density_g_per_ml) == amount:
            return units.to_base(*measure, material.base, density_g_per_ml=material.density_g_per_ml)
    except Refused:
        pass
    return half_up(Fraction(amount) * units.ratio(old, material.base), units.HELD_PLACES)


class Migration(migrations.Migration):

    dependencies = [
        ('costing', '0015_struck_stays'),
        ('inventory', '0016_own_bases'),
    ]

    operations = [
        migrations.RunPython(recount),
    ]
