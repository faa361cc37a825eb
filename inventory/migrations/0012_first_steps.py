from django.db import migrations, models


def no_newcomer(apps, schema_editor):
    """A workshop that has something on its shelf or a skin has begun without the list, and is not asked to begin again."""
    begun = any(apps.get_model('inventory', name).objects.exists() for name in ('Material', 'Skin'))
    if begun:
        apps.get_model('inventory', 'Workshop').objects.update(first_steps_over=True)


class Migration(migrations.Migration):

    dependencies = [
        ('inventory', '0011_time_zone'),
    ]

    operations = [
        migrations.AddField(
            model_name='workshop',
            name='first_steps_over',
            field=models.BooleanField(default=False),
        ),
        migrations.RunPython(no_newcomer, migrations.RunPython.noop),
    ]
