import io

import pytest
from django.db import transaction

from labcases.attachments.access import may_open
from labcases.attachments.actions.keeping import attach, remove_attachment, stored
from labcases.attachments.choices import View
from labcases.attachments.files import read_content
from labcases.attachments.models import Attachment
from labcases.attachments.queries import earlier_of_the_same_view
from labcases.attachments.storage import attachment_storage
from labcases.cases.actions.intake import cancel_case
from labcases.people.refusals import Conflict, NotAllowed, Refused
from tests.factories.attachments import PICTURE, AttachmentFactory
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def case():
    return taken_in_case()


def content(data=PICTURE):
    return read_content(io.BytesIO(data), size=len(data))


def add(case, *, by, stage=None, view=View.FRONT_AT_REST, caption=" at  rest ", now=NOW):
    with stored(content()) as file:
        return attach(case=case, stage=stage, file=file, view=view, caption=caption, by=by, now=now)


def lie_there(*names):
    return [attachment_storage().exists(name) for name in names]


def test_a_photograph_is_kept_with_its_stage_and_logged(case):
    kept = add(case, by=case.prescriber, stage=case.current_stage)
    assert (kept.caption, kept.belongs_to, kept.width) == ("at rest", "Custom tray", 60)
    with attachment_storage().open(kept.file.name) as file:
        assert file.read() == content().data
    event = case.events.last()
    assert (event.act, event.by, event.stage) == ("attached", case.prescriber, case.current_stage)
    assert event.after["sha256"] == kept.sha256 == content().sha256


def test_practice_and_laboratory_add_and_another_practice_does_not(case):
    for by in (case.prescriber, ManagerFactory(), TechnicianFactory()):
        add(case, by=by)
    with pytest.raises(NotAllowed):
        add(case, by=ClinicianFactory())
    assert Attachment.objects.count() == 3


def test_a_file_that_no_row_came_to_own_is_gone_again(case):
    with stored(content()) as file, transaction.atomic():
        attach(case=case, stage=None, file=file, view=View.SHADE, caption="", by=case.prescriber, now=NOW)
        assert lie_there(file.name, file.small_name) == [True, True]
        transaction.set_rollback(True)
    assert lie_there(file.name, file.small_name) == [False, False]
    with stored(content()) as unused:
        pass
    assert lie_there(unused.name, unused.small_name) == [False, False]


def test_the_name_in_the_storage_tells_nothing_and_only_the_owner_may_read_it(case, settings, tmp_path):
    from labcases.config.settings import STORAGES

    options = {**STORAGES["attachments"]["OPTIONS"], "location": str(tmp_path)}
    settings.STORAGES = {**settings.STORAGES, "attachments": {**STORAGES["attachments"], "OPTIONS": options}}
    kept = add(case, by=case.prescriber)
    path = tmp_path / kept.file.name
    assert case.number not in str(path)
    assert (path.stat().st_mode & 0o777, path.parent.stat().st_mode & 0o777) == (0o600, 0o700)


@pytest.mark.parametrize(
    ("change", "words"),
    [({"view": ""}, "what the photograph shows"), ({"view": "nonsense"}, "what the photograph shows")],
)
def test_a_photograph_needs_its_view(change, words, case):
    with pytest.raises(Refused, match=words):
        add(case, by=case.prescriber, **change)


def test_a_stage_of_another_case_is_refused(case):
    with pytest.raises(Refused, match="not one of this case"):
        add(case, by=case.prescriber, stage=taken_in_case().current_stage)


def test_a_case_has_an_end_of_files(case, monkeypatch):
    monkeypatch.setattr("labcases.attachments.actions.keeping.MOST_OF_A_CASE", 1)
    add(case, by=case.prescriber)
    with pytest.raises(Refused, match="remove some"):
        add(case, by=case.prescriber)


def test_nothing_is_added_to_a_cancelled_case(case):
    manager = ManagerFactory()
    cancel_case(case=case, by=manager, reason="moved away", expected_version=case.version, now=NOW)
    with pytest.raises(Conflict):
        add(case, by=manager)


def test_what_is_removed_keeps_its_bytes_and_says_who_and_why(case):
    manager = ManagerFactory()
    kept = add(case, by=case.prescriber)
    remove_attachment(attachment=kept, reason=" another patient ", by=case.prescriber, now=NOW)
    kept.refresh_from_db()
    assert (kept.removal_reason, kept.removed_by) == ("another patient", case.prescriber)
    assert lie_there(kept.file.name, kept.small.name) == [True, True]
    assert (may_open(case.prescriber, kept), may_open(manager, kept)) == (False, True)
    event = case.events.last()
    assert (event.act, event.reason) == ("attachment_removed", "another patient")
    with pytest.raises(Conflict, match="removed already"):
        remove_attachment(attachment=kept, reason="again", by=manager, now=NOW)


def test_a_reason_is_asked_for(case):
    with pytest.raises(Refused, match="Say why"):
        remove_attachment(attachment=add(case, by=case.prescriber), reason=" ", by=case.prescriber, now=NOW)


def test_one_side_does_not_remove_what_the_other_added(case):
    technician, manager = TechnicianFactory(), ManagerFactory()
    theirs, ours = add(case, by=case.prescriber), add(case, by=technician)
    for attachment, by in ((theirs, technician), (ours, case.prescriber)):
        with pytest.raises(NotAllowed):
            remove_attachment(attachment=attachment, reason="no", by=by, now=NOW)
    remove_attachment(attachment=theirs, reason="yes", by=manager, now=NOW)


def test_the_earlier_photograph_is_of_the_same_view_and_another_visit(case):
    tray, master = case.stages.all()[:2]

    def photograph(minute, **more):
        return AttachmentFactory(case=case, at=NOW.replace(minute=minute), **more)

    prescribed = photograph(1)
    photograph(2, view=View.SHADE)
    photograph(3, removed_at=NOW, removed_by=ManagerFactory(), removal_reason="blurred")
    at_tray, again = photograph(4, stage=tray), photograph(5, stage=tray)
    last = photograph(6, stage=master)
    photograph(7)
    AttachmentFactory(at=NOW.replace(minute=2))
    found = [earlier_of_the_same_view(each) for each in (prescribed, at_tray, again, last)]
    assert found == [None, prescribed, prescribed, again]
