"""Rates hold from a day on. Those that stand have always held."""

import datetime

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('costing', '0004_kept_receipts_and_given_up_jobs'),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name='rates',
            name='rates_are_one',
        ),
        migrations.AddField(
            model_name='rates',
            name='since',
            field=models.DateField(default=datetime.date(1, 1, 1)),
        ),
        migrations.AlterModelOptions(
            name='rates',
            options={'ordering': ['since', 'pk'], 'verbose_name_plural': 'rates'},
        ),
    ]
