"""What lets either database answer from an index: beginnings of texts, many texts at once, words of partial indexes."""

import json
from typing import Any

from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.backends.ddl_references import Statement, Table
from django.db.models.sql.compiler import SQLCompiler

CREATE = "CREATE INDEX %(name)s ON %(table)s (%(column)s)"
WAYS = {
    # LIKE 'x%' compares without case on SQLite, and is answered only by an index that does so too.
    "sqlite": "{} COLLATE NOCASE",
    # As Django writes `istartswith`, in an order that does not depend on the server's language.
    "postgresql": "UPPER({}::text) text_pattern_ops",
}


class BeginningIndex(models.Index):
    """Answers `istartswith` of its one column; as an index of the model it survives SQLite's remaking of tables."""

    def create_sql(
        self,
        model: type[models.Model],
        schema_editor: BaseDatabaseSchemaEditor,
        using: str = "",
        **kwargs: Any,
    ) -> Statement:
        column = schema_editor.quote_name(model._meta.get_field(self.fields[0]).column)
        return Statement(
            CREATE,
            name=schema_editor.quote_name(self.name),
            table=Table(model._meta.db_table, schema_editor.quote_name),
            column=WAYS[schema_editor.connection.vendor].format(column),
        )


@models.CharField.register_lookup
class Among(models.Lookup):
    """`IN` with its words in the text of the query.

    SQLite uses a partial index only where it reads the index's own condition in the query; values given apart it
    does not see while it plans. For words of our own code alone.
    """

    lookup_name = "among"
    prepare_rhs = False

    def as_sql(self, compiler: SQLCompiler, connection: BaseDatabaseWrapper) -> tuple[str, tuple[Any, ...]]:
        column, params = self.process_lhs(compiler, connection)
        words = [str(word) for word in self.rhs]
        assert all(word.isidentifier() for word in words), words
        quoted = ", ".join(f"'{word}'" for word in words)
        return f"{column} IN ({quoted})", tuple(params)


@models.CharField.register_lookup
class OneOf(models.Lookup):
    """`IN` with all its texts in one value: seven hundred take longer to hand over apart than to look up."""

    lookup_name = "one_of"
    prepare_rhs = False

    def as_sql(self, compiler: SQLCompiler, connection: BaseDatabaseWrapper) -> tuple[str, tuple[Any, ...]]:
        column, params = self.process_lhs(compiler, connection)
        texts = sorted(self.rhs)
        if connection.vendor == "postgresql":
            return f"{column} = ANY(%s)", (*params, texts)
        return f"{column} IN (SELECT value FROM json_each(%s))", (*params, json.dumps(texts))
