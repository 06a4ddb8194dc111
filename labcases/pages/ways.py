"""A case's stages as stops of the crossing line."""

from collections.abc import Iterable, Sequence

from django.utils.translation import gettext as _

from labcases.cases.choices import StageState
from labcases.cases.models import Case, Return, Stage
from labcases.pages.crossing import Stop
from labcases.pages.templatetags.trade import day


def stops_of(case: Case, stages: Sequence[Stage], returns: Iterable[Return] = ()) -> list[Stop]:
    """The way of a case, stage by stage in path order; a return is the way back from its start."""
    at = {stage.pk: index for index, stage in enumerate(stages)}
    back = {each.from_stage_id: at.get(each.to_stage_id) for each in returns}
    return [
        Stop(
            label=str(stage.get_kind_display()),
            place=stage.place,
            state=stage.state,
            date_text=_date_text(stage),
            visit=stage.visit,
            current=case.is_open and stage.pk == case.current_stage_id,
            back_to=back.get(stage.pk),
        )
        for stage in stages
    ]


def _date_text(stage: Stage) -> str:
    if stage.finished_at:
        return day(stage.finished_at)
    if stage.state == StageState.SKIPPED or not stage.due_on:
        return ""
    return _("due {day}").format(day=day(stage.due_on))
