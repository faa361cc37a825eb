"""What was taken back is reversed, as everywhere in the books."""

from __future__ import annotations

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0007_issued_to_work"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RenameField(model_name="move", old_name="taken_back_at", new_name="reversed_at"),
        migrations.RenameField(model_name="move", old_name="taken_back_by", new_name="reverser"),
        migrations.AlterField(
            model_name="move",
            name="reverser",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
    ]
