"""How tax is rounded, tax of deposits, and of costs their tax, their sum in another currency and their bill."""

import inventory.fields
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('costing', '0020_kinds_of_cost_and_accounts'),
        ('inventory', '0021_taxed_purchases'),
    ]

    operations = [
        migrations.AddField(
            model_name='expense',
            name='bill',
            field=models.CharField(blank=True, max_length=40),
        ),
        migrations.AddField(
            model_name='expense',
            name='original_currency',
            field=models.CharField(blank=True, max_length=3),
        ),
        migrations.AddField(
            model_name='expense',
            name='original_sum',
            field=inventory.fields.MoneyField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='expense',
            name='tax',
            field=inventory.fields.MoneyField(default=0),
        ),
        migrations.AddField(
            model_name='expense',
            name='tax_percent',
            field=inventory.fields.QuantityField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='payment',
            name='tax_percent',
            field=inventory.fields.QuantityField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='sale',
            name='tax_level',
            field=models.CharField(choices=[('rate', 'Each rate, once a paper'), ('line', 'Each line')], default='rate', max_length=4),
        ),
        migrations.AddField(
            model_name='sale',
            name='tax_way',
            field=models.CharField(choices=[('half_up', 'Half a coin up'), ('half_down', 'Half a coin down'), ('down', 'Always down'), ('third', 'One place more kept, then half up')], default='half_up', max_length=9),
        ),
        migrations.AddField(
            model_name='terms',
            name='deposit_tax',
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name='terms',
            name='tax_level',
            field=models.CharField(choices=[('rate', 'Each rate, once a paper'), ('line', 'Each line')], default='rate', max_length=4),
        ),
        migrations.AddField(
            model_name='terms',
            name='tax_way',
            field=models.CharField(choices=[('half_up', 'Half a coin up'), ('half_down', 'Half a coin down'), ('down', 'Always down'), ('third', 'One place more kept, then half up')], default='half_up', max_length=9),
        ),
        migrations.AddConstraint(
            model_name='expense',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('tax', 0), models.Q(('tax_percent__gt', 0), ('tax_percent__isnull', False)), _connector='OR'), models.Q(('tax_percent__lt', 0), _negated=True)), name='expense_tax_has_a_rate'),
        ),
        migrations.AddConstraint(
            model_name='expense',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('original_currency', ''), ('original_sum__isnull', True)), models.Q(('original_sum__gt', 0), ('original_sum__isnull', False), models.Q(('original_currency', ''), _negated=True)), _connector='OR'), name='expense_original_sum_has_a_currency'),
        ),
        migrations.AddConstraint(
            model_name='payment',
            constraint=models.CheckConstraint(condition=models.Q(('tax_percent__isnull', True), models.Q(('job__isnull', False), ('tax_percent__gte', 0)), _connector='OR'), name='payment_tax_of_a_deposit'),
        ),
        migrations.AddConstraint(
            model_name='sale',
            constraint=models.CheckConstraint(condition=models.Q(('tax_level__in', ['rate', 'line']), ('tax_way__in', ['half_up', 'half_down', 'down', 'third'])), name='sale_tax_rounding_known'),
        ),
        migrations.AddConstraint(
            model_name='terms',
            constraint=models.CheckConstraint(condition=models.Q(('tax_level__in', ['rate', 'line']), ('tax_way__in', ['half_up', 'half_down', 'down', 'third']), models.Q(models.Q(('tax_way', 'down'), _negated=True), models.Q(('prices_with_tax', False), ('tax_level', 'rate')), _connector='OR')), name='terms_tax_rounding_allowed'),
        ),
    ]
