"""Whether a prescription is complete, and what the case's state follows from that."""

from labcases.cases.choices import CaseState, StageState
from labcases.cases.models import Case
from labcases.cases.rules import Missing, missing_from_prescription
from labcases.people.queries import laboratory


def missing_now(case: Case) -> tuple[Missing, ...]:
    """What the prescription lacks, read afresh."""
    fresh = (
        Case.objects.select_related("practice", "prescriber", "current_stage")
        .prefetch_related("stages")
        .get(pk=case.pk)
    )
    return missing_from_prescription(fresh, laboratory())


def settle_completeness(case: Case) -> None:
    """Let the case's state follow from what its prescription lacks; work that has begun is not stopped."""
    missing = missing_now(case)
    if missing:
        begun = case.stages.exclude(state__in=[StageState.WAITING, StageState.SKIPPED]).exists()
        if not begun:
            Case.objects.filter(pk=case.pk, state=CaseState.OPEN).update(state=CaseState.INCOMPLETE)
    else:
        Case.objects.filter(pk=case.pk, state=CaseState.INCOMPLETE).update(state=CaseState.OPEN)


def settle_incomplete_cases() -> None:
    """Look at incomplete cases again, after what they lacked may have been filled in elsewhere.

    An address or a licence number stands with the practice, the prescriber or the laboratory, not with the case.
    """
    for case in Case.objects.filter(state=CaseState.INCOMPLETE).order_by("pk"):
        settle_completeness(case)
