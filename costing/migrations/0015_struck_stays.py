"""Skins that were never in a batch, although it was written that they were."""


import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('costing', '0014_frames'),
        ('inventory', '0015_corrected_deliveries'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='StruckStay',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('written_at', models.DateTimeField(auto_now_add=True)),
                ('joined_on', models.DateField()),
                ('left_on', models.DateField(blank=True, null=True)),
                ('on', models.DateField()),
                ('reason', models.CharField(max_length=200)),
                ('batch', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='struck', to='costing.batch')),
                ('skin', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='struck', to='inventory.skin')),
                ('written_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['on', 'pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('on__gte', models.F('joined_on'))), name='stay_struck_after_it_began'), models.CheckConstraint(condition=models.Q(('reason', ''), _negated=True), name='stay_struck_with_a_reason')],
            },
        ),
    ]
