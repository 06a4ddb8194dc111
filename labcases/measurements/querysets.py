from typing import TYPE_CHECKING, Self

from django.db.models import QuerySet

if TYPE_CHECKING:
    from labcases.people.models import User


class ReadingQuerySet(QuerySet):
    def visible_to(self, user: "User") -> Self:
        if not user.is_authenticated or not user.is_active:
            return self.none()
        if user.is_clinician:
            return self.filter(case__practice_id=user.practice_id)
        return self

    def standing(self) -> Self:
        """Readings that no correction has superseded."""
        return self.filter(superseded_by__isnull=True)
