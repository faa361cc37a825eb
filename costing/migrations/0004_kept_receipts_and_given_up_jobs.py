"""A receipt keeps whom it names, as every issued paper does; a job can be given up."""

from django.db import migrations, models

_PEOPLE = ("name", "address", "tax_number", "electronic")


def keep_parties(apps, schema_editor):
    """Receipts that stand say what they would say if printed today: what their sale says, else the workshop as it is."""
    seller = _seller(apps)
    for payment in apps.get_model("costing", "Payment").objects.select_related("sale", "customer").iterator():
        sale = payment.sale
        payment.seller = sale.seller if sale else seller
        payment.buyer = sale.buyer if sale else _buyer(payment.customer)
        payment.save(update_fields=["seller", "buyer"])


def _seller(apps):
    workshop = apps.get_model("inventory", "Workshop")
    terms = apps.get_model("costing", "Terms")
    row, own = workshop.objects.first() or workshop(), terms.objects.first() or terms()
    return {
        "name": ", ".join(dict.fromkeys(filter(None, (row.maker, row.name)))),
        "address": row.postal_address,
        "electronic": row.electronic_address,
        "tax_number": own.tax_number,
        "business_number": own.business_number,
        "untaxed_words": "" if own.tax_number else own.untaxed_words,
        "payment_words": own.payment_words,
    }


def _buyer(customer):
    if customer is None:
        return dict.fromkeys(_PEOPLE, "")
    return {
        "name": customer.name,
        "address": customer.postal_address,
        "electronic": customer.electronic_address,
        "tax_number": customer.tax_number,
    }


class Migration(migrations.Migration):

    dependencies = [
        ('costing', '0003_selling'),
        ('inventory', '0004_regrades'),
    ]

    operations = [
        migrations.AddField(
            model_name='job',
            name='given_back',
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name='job',
            name='given_up_on',
            field=models.DateField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='job',
            name='given_up_why',
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.AddField(
            model_name='payment',
            name='buyer',
            field=models.JSONField(default=dict),
        ),
        migrations.AddField(
            model_name='payment',
            name='seller',
            field=models.JSONField(default=dict),
        ),
        migrations.AddConstraint(
            model_name='job',
            constraint=models.CheckConstraint(condition=models.Q(('given_up_on__isnull', True), ('given_up_on__gte', models.F('taken_on')), _connector='OR'), name='job_given_up_after_taken'),
        ),
        migrations.AddConstraint(
            model_name='job',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('given_back', False), ('given_up_on__isnull', True), ('given_up_why', '')), models.Q(('given_up_on__isnull', False), models.Q(('given_up_why', ''), _negated=True)), _connector='OR'), name='job_given_up_has_a_reason'),
        ),
        migrations.RunPython(keep_parties, migrations.RunPython.noop),
    ]
