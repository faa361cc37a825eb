"""Additions that were skipped, and the recipe line that something was put in for. What was put in at the tub before this had
its planned amount beside it: it gets, once, the one line of its recipe that asks for that material."""

from typing import Any

import django.db.models.deletion
import inventory.fields
from django.conf import settings
from django.db import migrations, models


def lines_of_one_material(apps: Any, _editor: Any) -> None:
    uses = apps.get_model("costing", "Use").objects.filter(batch__isnull=False)
    batches = dict(uses.values_list("posting", "batch__version"))
    lines = apps.get_model("costing", "RecipeLine").objects
    for row in apps.get_model("costing", "PlannedAmount").objects.select_related("movement").iterator():
        version = batches.get(row.movement.posting_id)
        asked = list(lines.filter(version=version, material=row.movement.material_id)[:2]) if version else []
        if len(asked) == 1:
            row.line = asked[0]
            row.save(update_fields=["line"])


class Migration(migrations.Migration):

    dependencies = [
        ('costing', '0011_lines_name_their_step'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name='plannedamount',
            name='line',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='planned_amounts', to='costing.recipeline'),
        ),
        migrations.AlterField(
            model_name='plannedamount',
            name='quantity',
            field=inventory.fields.QuantityField(null=True),
        ),
        migrations.RunPython(lines_of_one_material, migrations.RunPython.noop),
        migrations.CreateModel(
            name='SkippedAddition',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('written_at', models.DateTimeField(auto_now_add=True)),
                ('reversed_at', models.DateTimeField(blank=True, null=True)),
                ('on', models.DateField()),
                ('reason', models.CharField(max_length=200)),
                ('batch', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='skipped', to='costing.batch')),
                ('line', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='skipped', to='costing.recipeline')),
                ('reverser', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('written_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['on', 'pk'],
                'constraints': [models.UniqueConstraint(condition=models.Q(('reversed_at__isnull', True)), fields=('batch', 'line'), name='addition_skipped_once'), models.CheckConstraint(condition=models.Q(('reason', ''), _negated=True), name='addition_skipped_with_a_reason')],
            },
        ),
    ]
