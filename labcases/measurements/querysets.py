from typing import Self

from django.db.models import QuerySet


class ReadingQuerySet(QuerySet):
    def standing(self) -> Self:
        """Readings that no correction has superseded."""
        return self.filter(superseded_by__isnull=True)

    def at_stage(self, stage: object) -> Self:
        return self.filter(stage=stage)
