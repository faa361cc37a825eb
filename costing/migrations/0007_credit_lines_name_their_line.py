"""A credit's line names the line of the sale that it takes back; until now it was found by its words."""

from collections import defaultdict

import django.db.models.deletion
from django.db import migrations, models


def _thing(row):
    return row.kind, row.article_id, row.job_id, row.skin_id, row.tax_percent, row.relief


def lines_of(lines, written):
    """By id of each credited row, in the order of writing: its line, by the rule of until now.

    A whole line was credited in its own words, and of lines that are alike each once. A price cut said "Price cut: "
    before the words; of lines alike in kind, thing, rate and words it came off the earlier one.
    """
    taken, found = set(), {}
    for row in written:
        same = [line for line in lines if _thing(line) == _thing(row)] or lines
        whole = [
            line
            for line in same
            if (line.words, line.quantity, line.asked) == (row.words, -row.quantity, row.asked) and line.pk not in taken
        ]
        cut = [line for line in same if f"Price cut: {line.words}"[:200] == row.words]
        found[row.pk] = (whole or cut or same)[0]
        if whole:
            taken.add(found[row.pk].pk)
    return found


def name_the_lines(apps, schema_editor):
    rows = apps.get_model("costing", "SaleLine").objects.order_by("sale_id", "position")
    written = defaultdict(list)
    for row in rows.filter(sale__credits__isnull=False).select_related("sale"):
        written[row.sale.credits_id].append(row)
    for sale, credited in written.items():
        for pk, line in lines_of(list(rows.filter(sale=sale)), credited).items():
            rows.filter(pk=pk).update(of_line=line)


class Migration(migrations.Migration):

    dependencies = [
        ('costing', '0006_what_a_deposit_was_for'),
    ]

    operations = [
        migrations.AddField(
            model_name='saleline',
            name='of_line',
            field=models.ForeignKey(
                blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='credit_lines',
                to='costing.saleline',
            ),
        ),
        migrations.RunPython(name_the_lines, migrations.RunPython.noop),
        migrations.AddConstraint(
            model_name='saleline',
            constraint=models.CheckConstraint(
                condition=models.Q(('of_line__isnull', True), ('quantity__gt', 0))
                | models.Q(('of_line__isnull', False), ('quantity__lt', 0)),
                name='sale_line_credit_names_its_line',
            ),
        ),
    ]
