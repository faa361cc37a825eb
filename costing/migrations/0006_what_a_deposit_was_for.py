"""A deposit's receipt keeps the work and the price that were agreed on."""

from django.db import migrations, models

import inventory.fields


def keep_what_was_agreed(apps, schema_editor):
    """Receipts that stand say what they would say if printed today."""
    deposits = apps.get_model("costing", "Payment").objects.filter(job__isnull=False)
    for payment in deposits.select_related("job").iterator():
        payment.work, payment.agreed = payment.job.work, payment.job.price
        payment.save(update_fields=["work", "agreed"])


class Migration(migrations.Migration):

    dependencies = [
        ('costing', '0005_rates_from_a_day'),
    ]

    operations = [
        migrations.AddField(
            model_name='payment',
            name='work',
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.AddField(
            model_name='payment',
            name='agreed',
            field=inventory.fields.MoneyField(blank=True, null=True),
        ),
        migrations.RunPython(keep_what_was_agreed, migrations.RunPython.noop),
    ]
