from django.db import migrations

MOVED = {
    **{f'invoice.how.{way}': f'paid_by.{way}' for way in ('cash', 'bank', 'card', 'barter', 'other')},
    **{f'packing.method.{method}': f'care.{method}.name' for method in ('alum_tawed', 'bark', 'oil_smoked', 'synthetic')},
    'invoice.balance_after': 'invoice.total_after',
}


def move(apps, schema_editor):
    """Two phrases that said the same have become one: what the maker said of the one that went is said of the one that stays,
    unless that was said in his words too."""
    phrases = apps.get_model('inventory', 'Phrase').objects
    for old, new in MOVED.items():
        for row in phrases.filter(key=old):
            if phrases.filter(language=row.language, key=new).exists():
                row.delete()
            else:
                row.key = new
                row.save(update_fields=['key'])


class Migration(migrations.Migration):

    dependencies = [('inventory', '0029_country')]

    operations = [migrations.RunPython(move, migrations.RunPython.noop)]
