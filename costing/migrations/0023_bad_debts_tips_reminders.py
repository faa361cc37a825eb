"""Bad debts, tips, barter, reminders of what is overdue, and the terms they need."""

import django.db.models.deletion
import inventory.fields
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('costing', '0022_moving_in'),
        ('inventory', '0015_corrected_deliveries'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Reminder',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('written_at', models.DateTimeField(auto_now_add=True)),
                ('reversed_at', models.DateTimeField(blank=True, null=True)),
                ('on', models.DateField()),
                ('tone', models.CharField(choices=[('friendly', 'Friendly'), ('firm', 'Firm'), ('final', 'Final')], max_length=8)),
                ('amount', inventory.fields.MoneyField()),
                ('percent', inventory.fields.QuantityField(default=0)),
                ('interest', inventory.fields.MoneyField(default=0)),
                ('words', models.CharField(max_length=500)),
            ],
            options={
                'ordering': ['on', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='WriteOff',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('written_at', models.DateTimeField(auto_now_add=True)),
                ('on', models.DateField()),
                ('amount', inventory.fields.MoneyField()),
                ('reason', models.CharField(max_length=200)),
            ],
            options={
                'ordering': ['-on', '-pk'],
            },
        ),
        migrations.RemoveConstraint(
            model_name='payment',
            name='payment_how_known',
        ),
        migrations.RemoveConstraint(
            model_name='saleline',
            name='sale_line_names_its_thing',
        ),
        migrations.AddField(
            model_name='terms',
            name='late_interest_percent',
            field=inventory.fields.QuantityField(default=0),
        ),
        migrations.AddField(
            model_name='terms',
            name='reminder_final',
            field=models.CharField(default='This is my last reminder before I take further steps. Please pay the balance due within seven days of the date of this letter.', max_length=500),
        ),
        migrations.AddField(
            model_name='terms',
            name='reminder_firm',
            field=models.CharField(default='I wrote to you before about what is listed below, and it is still not paid. Please pay the balance due within seven days, or tell me if something is wrong with it.', max_length=500),
        ),
        migrations.AddField(
            model_name='terms',
            name='reminder_friendly',
            field=models.CharField(default='Perhaps it slipped by: what is listed below is not paid yet. If you paid in the last few days, thank you, and please put this letter aside.', max_length=500),
        ),
        migrations.AlterField(
            model_name='payment',
            name='how',
            field=models.CharField(choices=[('cash', 'Cash'), ('bank', 'Bank'), ('card', 'Card'), ('barter', 'Barter'), ('other', 'Otherwise')], default='cash', max_length=6),
        ),
        migrations.AlterField(
            model_name='saleline',
            name='kind',
            field=models.CharField(choices=[('article', 'A piece'), ('work', "Work on a customer's skin"), ('scrap', 'A spoiled skin'), ('postage', 'Postage'), ('tip', 'Tip'), ('other', 'Something else')], max_length=7),
        ),
        migrations.AddConstraint(
            model_name='payment',
            constraint=models.CheckConstraint(condition=models.Q(('how__in', ['cash', 'bank', 'card', 'barter', 'other'])), name='payment_how_known'),
        ),
        migrations.AddConstraint(
            model_name='saleline',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('article__isnull', False), ('kind', 'article')), models.Q(('job__isnull', False), ('kind', 'work')), models.Q(('kind', 'scrap'), ('skin__isnull', False)), models.Q(('article__isnull', True), ('job__isnull', True), ('kind__in', ['postage', 'tip', 'other']), ('skin__isnull', True)), _connector='OR'), name='sale_line_names_its_thing'),
        ),
        migrations.AddConstraint(
            model_name='terms',
            constraint=models.CheckConstraint(condition=models.Q(('late_interest_percent__gte', 0), ('late_interest_percent__lte', 100)), name='terms_interest_believable'),
        ),
        migrations.AddField(
            model_name='reminder',
            name='reverser',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='reminder',
            name='sale',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='reminders', to='costing.sale'),
        ),
        migrations.AddField(
            model_name='reminder',
            name='written_by',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='writeoff',
            name='reverses',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='reversed_by', to='costing.writeoff'),
        ),
        migrations.AddField(
            model_name='writeoff',
            name='sale',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='write_offs', to='costing.sale'),
        ),
        migrations.AddField(
            model_name='writeoff',
            name='written_by',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddConstraint(
            model_name='reminder',
            constraint=models.CheckConstraint(condition=models.Q(('tone__in', ['friendly', 'firm', 'final'])), name='reminder_tone_known'),
        ),
        migrations.AddConstraint(
            model_name='reminder',
            constraint=models.CheckConstraint(condition=models.Q(('amount__gt', 0), ('interest__gte', 0), ('percent__gte', 0)), name='reminder_of_something_owed'),
        ),
        migrations.AddConstraint(
            model_name='writeoff',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('amount__gt', 0), ('reverses__isnull', True)), models.Q(('amount__lt', 0), ('reverses__isnull', False)), _connector='OR'), name='write_off_positive_unless_reversed'),
        ),
        migrations.AddConstraint(
            model_name='writeoff',
            constraint=models.CheckConstraint(condition=models.Q(('reason', ''), _negated=True), name='write_off_has_a_reason'),
        ),
    ]
