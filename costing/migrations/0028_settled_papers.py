from collections import defaultdict

from django.db import migrations, models
from django.db.models import Max


def fill(apps, schema_editor):
    """The day on which each paper of a database was settled: the last of all that settled it, where nothing is left."""
    Sale, SaleLine, Payment, Expense, WriteOff = (
        apps.get_model('costing', name) for name in ('Sale', 'SaleLine', 'Payment', 'Expense', 'WriteOff')
    )
    events, deposits = defaultdict(list), defaultdict(list)
    for pk, on, gross in Sale.objects.exclude(kind='credit').values_list('pk', 'on', 'gross'):
        events[pk].append((on, gross))
    for pk, on, gross in Sale.objects.filter(kind='credit').values_list('credits', 'on', 'gross'):
        events[pk].append((on, gross))
    for pk, job, on, amount in Payment.objects.values_list('sale', 'job', 'on', 'amount'):
        if pk is not None:
            events[pk].append((on, -amount))
        else:
            deposits[job].append((on, amount))
    for pk, on, amount, tax in Expense.objects.filter(withheld=True).values_list('sale', 'on', 'amount', 'tax'):
        events[pk].append((on, -amount - tax))
    for pk, on, amount in WriteOff.objects.values_list('sale', 'on', 'amount'):
        events[pk].append((on, -amount))
    # A deposit is set off from the hand-over on, and again a deposit from the credit that took the hand-over back.
    billed = SaleLine.objects.filter(job__isnull=False).exclude(sale__kind='credit').order_by()
    lines = billed.annotate(back=Max('credit_lines__sale__on'))
    for pk, on, job, standing, back in lines.values_list('sale', 'sale__on', 'job', 'standing', 'back'):
        for when, amount in deposits[job]:
            events[pk].append((max(when, on), -amount))
            if not standing and back:
                events[pk].append((max(when, back), amount))
    days = defaultdict(list)
    for pk, rows in events.items():
        if not sum(amount for _, amount in rows):
            days[max(when for when, _ in rows)].append(pk)
    for day, papers in days.items():
        for first in range(0, len(papers), 500):
            Sale.objects.filter(pk__in=papers[first : first + 500]).update(settled_on=day)


class Migration(migrations.Migration):

    dependencies = [
        ('costing', '0027_settled_costs'),
    ]

    operations = [
        migrations.AddField(
            model_name='sale',
            name='settled_on',
            field=models.DateField(blank=True, db_index=True, null=True),
        ),
        migrations.AddConstraint(
            model_name='sale',
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ('settled_on__isnull', True),
                    models.Q(('kind__in', ['sale', 'invoice', 'opening']), ('settled_on__gte', models.F('on'))),
                    _connector='OR',
                ),
                name='sale_settled_from_its_day_on',
            ),
        ),
        migrations.RunPython(fill, migrations.RunPython.noop),
    ]
