"""Triggers that let rows of these tables be added and nothing else, on either database.

The one exception is an erasure: what an entry and a ticket say of the patient may give way to its digest, together
with the salt or the paper's bytes, once and in one step.

SQLite alters a table by making it anew, which leaves its triggers behind: a later migration that does so must be
followed by one that makes them again. `tests/records/test_never_changed.py` notices.
"""

from django.db import migrations

PERSONAL = ("patient_code", "patient_age", "patient_sex", "notes", "tooth_wishes", "outcome", "sha256")
EVENT_KEPT = (
    "id", "case_id", "stage_id", "act", "by_id", "at", "reason", "position", "covers", "digest"
)
TICKET_KEPT = (
    "id", "stage_id", "specification_id", "code", "paper", "pages", "issued_by_id", "issued_at"
)
TABLES = (
    "cases_event",
    "cases_return",
    "cases_disinfection",
    "measurements_labstandard",
    "measurements_norm",
    "measurements_specification",
    "measurements_specificationline",
    "measurements_prescribeddimension",
    "measurements_reading",
    "tickets_workticket",
)


def _same(columns):
    return " AND ".join(f'NEW."{name}" IS OLD."{name}"' for name in columns)


def _sqlite_rest(column):
    paths = ", ".join(f"'$.{key}'" for key in PERSONAL)
    return f'json_remove(NEW."{column}", {paths}) IS json_remove(OLD."{column}", {paths})'


def _postgresql_rest(column):
    keys = ", ".join(f"'{key}'" for key in PERSONAL)
    return f'NEW."{column}" - ARRAY[{keys}] = OLD."{column}" - ARRAY[{keys}]'


def _postgresql_same_but(*columns):
    keys = ", ".join(f"'{name}'" for name in columns)
    return f"to_jsonb(NEW) - ARRAY[{keys}] = to_jsonb(OLD) - ARRAY[{keys}]"


SALT_GOES = "OLD.salt <> '' AND NEW.salt = ''"
PAPER_GOES = "length(OLD.pdf) > 0 AND length(NEW.pdf) = 0"
ERASURE = {
    "sqlite": {
        "cases_event": f"{SALT_GOES} AND {_same(EVENT_KEPT)} AND {_sqlite_rest('before')} AND {_sqlite_rest('after')}",
        "tickets_workticket": f"{PAPER_GOES} AND {_same(TICKET_KEPT)}",
    },
    "postgresql": {
        "cases_event": (
            f"{SALT_GOES} AND {_postgresql_same_but('salt', 'before', 'after')}"
            f" AND {_postgresql_rest('before')} AND {_postgresql_rest('after')}"
        ),
        "tickets_workticket": f"{PAPER_GOES} AND {_postgresql_same_but('pdf', 'sha256', 'facts_digest')}",
    },
}
FUNCTION = """
CREATE FUNCTION labcases_only_added() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '%: rows are added, never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation';
END $$
"""


def make(apps, schema_editor):
    vendor = schema_editor.connection.vendor
    statements = [FUNCTION] if vendor == "postgresql" else []
    for table in TABLES:
        allowed = ERASURE[vendor].get(table)
        when = f"WHEN (NOT ({allowed}))" if allowed else ""
        statements += SQL[vendor](table, when)
    for statement in statements:
        schema_editor.execute(statement, params=None)


def _sqlite(table, when):
    refuse = f"BEGIN SELECT RAISE(ABORT, '{table}: rows are added, never changed'); END"
    yield f"CREATE TRIGGER {table}_not_updated BEFORE UPDATE ON {table} FOR EACH ROW {when} {refuse}"
    yield f"CREATE TRIGGER {table}_not_deleted BEFORE DELETE ON {table} FOR EACH ROW {refuse}"


def _postgresql(table, when):
    refuse = "EXECUTE FUNCTION labcases_only_added()"
    yield f"CREATE TRIGGER {table}_not_updated BEFORE UPDATE ON {table} FOR EACH ROW {when} {refuse}"
    yield f"CREATE TRIGGER {table}_not_deleted BEFORE DELETE ON {table} FOR EACH ROW {refuse}"
    yield f"CREATE TRIGGER {table}_not_emptied BEFORE TRUNCATE ON {table} FOR EACH STATEMENT {refuse}"


SQL = {"sqlite": _sqlite, "postgresql": _postgresql}


def take_away(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("DROP FUNCTION labcases_only_added() CASCADE", params=None)
        return
    for table in TABLES:
        for what in ("not_updated", "not_deleted"):
            schema_editor.execute(f"DROP TRIGGER IF EXISTS {table}_{what}", params=None)


class Migration(migrations.Migration):

    dependencies = [
        ('records', '0001_seal_what_there_is'),
    ]

    operations = [
        migrations.RunPython(make, take_away),
    ]
