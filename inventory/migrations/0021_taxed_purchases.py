"""Of goods and skins: the tax that is deducted, the sum in another currency, the supplier's bill."""

import inventory.fields
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('inventory', '0020_how_it_was_paid'),
    ]

    operations = [
        migrations.AddField(
            model_name='delivery',
            name='bill',
            field=models.CharField(blank=True, max_length=40),
        ),
        migrations.AddField(
            model_name='delivery',
            name='original_currency',
            field=models.CharField(blank=True, max_length=3),
        ),
        migrations.AddField(
            model_name='delivery',
            name='original_sum',
            field=inventory.fields.MoneyField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='delivery',
            name='tax',
            field=inventory.fields.MoneyField(default=0),
        ),
        migrations.AddField(
            model_name='delivery',
            name='tax_percent',
            field=inventory.fields.QuantityField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='delivery',
            name='with_tax',
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name='deliveryline',
            name='tax',
            field=inventory.fields.MoneyField(default=0),
        ),
        migrations.AddField(
            model_name='deliveryline',
            name='tax_percent',
            field=inventory.fields.QuantityField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='skin',
            name='original_currency',
            field=models.CharField(blank=True, max_length=3),
        ),
        migrations.AddField(
            model_name='skin',
            name='original_sum',
            field=inventory.fields.MoneyField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='skin',
            name='tax',
            field=inventory.fields.MoneyField(default=0),
        ),
        migrations.AddField(
            model_name='skin',
            name='tax_percent',
            field=inventory.fields.QuantityField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='workshop',
            name='deducts_tax',
            field=models.BooleanField(default=False),
        ),
        migrations.AddConstraint(
            model_name='delivery',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('tax', 0), models.Q(('tax_percent__gt', 0), ('tax_percent__isnull', False)), _connector='OR'), models.Q(('tax_percent__lt', 0), _negated=True)), name='delivery_tax_has_a_rate'),
        ),
        migrations.AddConstraint(
            model_name='delivery',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('original_currency', ''), ('original_sum__isnull', True)), models.Q(('original_sum__gt', 0), ('original_sum__isnull', False), models.Q(('original_currency', ''), _negated=True)), _connector='OR'), name='delivery_original_sum_has_a_currency'),
        ),
        migrations.AddConstraint(
            model_name='deliveryline',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('tax', 0), models.Q(('tax_percent__gt', 0), ('tax_percent__isnull', False)), _connector='OR'), models.Q(('tax_percent__lt', 0), _negated=True), ('tax__gte', 0)), name='delivery_line_tax_has_a_rate'),
        ),
        migrations.AddConstraint(
            model_name='skin',
            constraint=models.CheckConstraint(condition=models.Q(('owner', 'mine'), ('tax', 0), _connector='OR'), name='skin_of_customer_has_no_tax'),
        ),
        migrations.AddConstraint(
            model_name='skin',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('tax', 0), models.Q(('tax_percent__gt', 0), ('tax_percent__isnull', False)), _connector='OR'), models.Q(('tax_percent__lt', 0), _negated=True)), name='skin_tax_has_a_rate'),
        ),
        migrations.AddConstraint(
            model_name='skin',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('original_currency', ''), ('original_sum__isnull', True)), models.Q(('original_sum__gt', 0), ('original_sum__isnull', False), models.Q(('original_currency', ''), _negated=True)), _connector='OR'), name='skin_original_sum_has_a_currency'),
        ),
    ]
