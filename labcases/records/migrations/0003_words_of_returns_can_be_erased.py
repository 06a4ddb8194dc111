"""Why work came back, and why a case was given up, may say something of the patient: an erasure takes that too."""

from importlib import import_module

from django.db import migrations

guards = import_module("labcases.records.migrations.0002_records_are_never_changed")
# A text that was erased is this word and a digest of 64 digits.
IS_ERASED = "(({row}.{column} LIKE 'erased %') AND length({row}.{column}) = 71)"
REASON_GOES = (
    "(NEW.reason = OLD.reason OR (OLD.act IN ('sent_back', 'cancelled') AND OLD.reason <> '' AND "
    + IS_ERASED.format(row="NEW", column="reason")
    + "))"
)
NOTE_GOES = (
    f"OLD.note <> '' AND NOT {IS_ERASED.format(row='OLD', column='note')}"
    f" AND {IS_ERASED.format(row='NEW', column='note')}"
)
EVENT_KEPT = tuple(name for name in guards.EVENT_KEPT if name != "reason")
RETURN_KEPT = ("id", "case_id", "from_stage_id", "to_stage_id", "visit", "cause", "by_id", "at")
ERASURE = {
    "sqlite": {
        "cases_event": (
            f"{guards.SALT_GOES} AND {REASON_GOES} AND {guards._same(EVENT_KEPT)}"
            f" AND {guards._sqlite_rest('before')} AND {guards._sqlite_rest('after')}"
        ),
        "cases_return": f"{NOTE_GOES} AND {guards._same(RETURN_KEPT)}",
    },
    "postgresql": {
        "cases_event": (
            f"{guards.SALT_GOES} AND {REASON_GOES}"
            f" AND {guards._postgresql_same_but('salt', 'before', 'after', 'reason')}"
            f" AND {guards._postgresql_rest('before')} AND {guards._postgresql_rest('after')}"
        ),
        "cases_return": f"{NOTE_GOES} AND {guards._postgresql_same_but('note')}",
    },
}


def guarded(erasure):
    def make(apps, schema_editor):
        vendor = schema_editor.connection.vendor
        for table in ("cases_event", "cases_return"):
            of_it = f" ON {table}" if vendor == "postgresql" else ""
            schema_editor.execute(f"DROP TRIGGER {table}_not_updated{of_it}", params=None)
            allowed = erasure[vendor].get(table)
            not_updated, *_ = guards.SQL[vendor](table, f"WHEN (NOT ({allowed}))" if allowed else "")
            schema_editor.execute(not_updated, params=None)

    return make


class Migration(migrations.Migration):

    dependencies = [
        ('records', '0002_records_are_never_changed'),
    ]

    operations = [
        migrations.RunPython(guarded(ERASURE), guarded(guards.ERASURE)),
    ]
