from itertools import groupby

from django.db import migrations, models


def number(apps, schema_editor):
    """In the order in which they were written; entries of a case were always written one after the other."""
    Event = apps.get_model("cases", "Event")
    events = Event.objects.using(schema_editor.connection.alias)
    waiting = []
    in_order = events.order_by("case_id", "pk").only("pk", "case_id", "position").iterator(chunk_size=2000)
    for _, of_case in groupby(in_order, key=lambda event: event.case_id):
        for position, event in enumerate(of_case, 1):
            event.position = position
            waiting.append(event)
        if len(waiting) > 2000:
            events.bulk_update(waiting, ["position"], batch_size=400)
            waiting = []
    events.bulk_update(waiting, ["position"], batch_size=400)


class Migration(migrations.Migration):

    dependencies = [
        ('cases', '0002_the_log_is_a_chain'),
    ]

    operations = [
        migrations.RunPython(number, migrations.RunPython.noop),
        migrations.AddConstraint(
            model_name='event',
            constraint=models.UniqueConstraint(fields=('case', 'position'), name='entries_of_a_log_are_numbered'),
        ),
    ]
