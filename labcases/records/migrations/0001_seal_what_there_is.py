from django.db import migrations

from labcases.cases.chain import Head, seal

# The rows that entries stand for, and how each finds its case. Entries of before do not say which rows were theirs,
# so the last one stands for all that there was when the chain began.
ROWS = (
    ("cases", "Return", "case"),
    ("cases", "Disinfection", "case"),
    ("measurements", "PrescribedDimension", "case"),
    ("measurements", "Reading", "case"),
    ("measurements", "Specification", "case"),
    ("measurements", "SpecificationLine", "specification__case"),
    ("tickets", "WorkTicket", "stage__case"),
)


def seal_what_there_is(apps, schema_editor):
    alias = schema_editor.connection.alias
    cases = apps.get_model("cases", "Case").objects.using(alias)
    events = apps.get_model("cases", "Event").objects.using(alias)
    kinds = [(apps.get_model(app, name).objects.using(alias), path) for app, name, path in ROWS]
    for key, number in cases.order_by("pk").values_list("pk", "number").iterator():
        entries = [(event, []) for event in events.filter(case_id=key).order_by("position")]
        if not entries:
            continue
        entries[-1][1].extend(row for rows, path in kinds for row in rows.filter(**{path: key}).order_by("pk"))
        head = seal(entries, number=number, head=Head())
        events.bulk_update([event for event, _ in entries], ["salt", "covers", "digest"], batch_size=100)
        cases.filter(pk=key).update(log_length=head.length, log_digest=head.digest)


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('cases', '0003_entries_of_a_log_are_numbered'),
        ('measurements', '0002_mould_lists'),
        ('tickets', '0001_work_tickets'),
    ]

    operations = [
        migrations.RunPython(seal_what_there_is, migrations.RunPython.noop),
    ]
