"""The pages of a case's photographs and files, for both sides."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from labcases.attachments.models import Attachment
from labcases.attachments.storage import attachment_storage
from tests.attachments.files.test_reading import PAPER, stl
from tests.bench.benchwork import form, text
from tests.factories.attachments import PICTURE, AttachmentFactory, in_storage
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def case():
    return taken_in_case()


@pytest.fixture
def clinician(client, case):
    client.force_login(case.prescriber)
    return case.prescriber


def address(case):
    return reverse("attachments", args=[case.number])


def add(client, case, data=PICTURE, *, box="file", name="Jane Doe.jpg", **fields):
    file = SimpleUploadedFile(name, data, content_type="text/html")
    sent = form(view="front_at_rest", belongs_to=str(case.current_stage_id), caption="Rim too long?")
    return client.post(address(case), {**sent, box: file, **fields})


@pytest.mark.parametrize("box", ["file", "photograph"])
def test_a_photograph_is_added_and_shown_to_both_sides(client, case, clinician, box):
    answer = add(client, case, box=box)
    assert answer.url == f"{address(case)}?stage={case.current_stage_id}"
    kept = Attachment.objects.get()
    assert (kept.stage, kept.by, kept.view) == (case.current_stage, clinician, "front_at_rest")
    for person, room in ((clinician, "clinic"), (ManagerFactory(), "office"), (TechnicianFactory(), "bench")):
        client.force_login(person)
        assert "Rim too long?" in text(client.get(address(case)))
        assert f'hx-get="{address(case)}' in client.get(f"/{room}/cases/{case.number}").text
        strip = client.get(address(case), headers={"HX-Request": "true"}).text
        assert strip.startswith("<section")
        assert reverse("attachment_small", args=[kept.pk]) in strip


def test_the_name_that_a_file_had_is_kept_nowhere(client, case, clinician):
    add(client, case)
    kept = Attachment.objects.get()
    assert "Jane" not in kept.file.name
    answer = client.get(reverse("attachment_file", args=[kept.pk]))
    assert answer.getvalue()
    assert answer["Content-Disposition"] == f'inline; filename="{case.number}-front_at_rest-{kept.pk}.jpg"'


def test_what_is_no_such_file_is_refused_and_what_was_typed_stays(client, case, clinician):
    answer = add(client, case, b"<script>alert(1)</script>", name="photo.jpg")
    assert answer.status_code == 422
    assert "whatever its name says" in text(answer)
    assert 'value="Rim too long?"' in answer.text
    assert not Attachment.objects.exists()


def test_a_form_without_a_file_says_so(client, case, clinician):
    answer = client.post(address(case), form(view="shade"))
    assert answer.status_code == 422
    assert "Choose a file." in text(answer)


def test_a_photograph_without_its_view_is_asked_for_it(client, case, clinician):
    assert "Choose what the photograph shows." in text(add(client, case, view=""))


def test_a_stage_that_is_not_of_this_case_is_no_choice(client, case, clinician):
    assert add(client, case, belongs_to=str(taken_in_case().current_stage_id)).status_code == 422


def test_a_form_sent_twice_adds_one_file(client, case, clinician):
    first = add(client, case, one_time_key="one key")
    files = len(stored_files())
    assert add(client, case, one_time_key="one key").url == first.url
    assert Attachment.objects.count() == 1
    assert len(stored_files()) == files


def stored_files():
    storage = attachment_storage()
    return [f"{folder}/{name}" for folder in storage.listdir("")[0] for name in storage.listdir(folder)[1]]


def test_what_is_larger_than_anything_taken_does_not_arrive(client, case, clinician, settings):
    settings.LARGEST_UPLOAD = 10_000
    answer = add(client, case, PAPER + b"\0" * 70_000)
    assert answer.status_code == 422
    assert "does not arrive" in text(answer)


def test_what_a_stranger_sends_is_not_even_put_aside(client, case, monkeypatch):
    monkeypatch.setattr(
        "labcases.pages.uploads.TemporaryFileUploadHandler.new_file",
        lambda *args, **kwargs: pytest.fail("a stranger's file was taken in"),
    )
    assert add(client, case).status_code == 302


@pytest.mark.parametrize(
    ("data", "suffix", "media"), [(PAPER, "pdf", "application/pdf"), (stl(), "stl", "model/stl")]
)
def test_papers_and_scans_are_only_saved_never_shown(client, case, clinician, data, suffix, media):
    add(client, case, data)
    kept = Attachment.objects.get()
    answer = client.get(reverse("attachment_file", args=[kept.pk]))
    assert answer["Content-Disposition"].startswith("attachment; ")
    assert answer["Content-Type"] == media
    assert answer["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Cache-Control"] == "no-store"
    assert len(answer.getvalue()) == kept.size
    assert client.get(reverse("attachment_small", args=[kept.pk])).status_code == 404
    assert "Save the file" in text(client.get(reverse("attachment", args=[kept.pk])))


def test_the_earlier_visits_photograph_is_laid_beside(client, case, clinician):
    earlier = AttachmentFactory(case=case, caption="before the rims")
    later = AttachmentFactory(case=case, stage=case.current_stage, at=NOW.replace(hour=10))
    page = client.get(reverse("attachment", args=[later.pk]))
    assert "Earlier: prescription" in text(page)
    assert reverse("attachment_file", args=[earlier.pk]) in page.text
    assert "Earlier" not in text(client.get(reverse("attachment", args=[earlier.pk])))


def test_a_removed_file_is_a_managers_alone_to_open(client, case, clinician):
    kept = AttachmentFactory(case=case, by=clinician, caption="wrong one")
    answer = client.post(reverse("attachment_remove", args=[kept.pk]), form(reason="another patient"))
    assert answer.url == address(case)
    page = text(client.get(address(case)))
    assert "another patient" in page
    assert "wrong one" not in page
    routes = ("attachment", "attachment_file", "attachment_small")
    assert {client.get(reverse(route, args=[kept.pk])).status_code for route in routes} == {404}
    client.force_login(ManagerFactory())
    answers = [client.get(reverse(route, args=[kept.pk])) for route in routes]
    assert [(answer.status_code, bool(answer.getvalue())) for answer in answers] == [(200, True)] * 3


def test_removing_needs_a_reason(client, case, clinician):
    kept = AttachmentFactory(case=case, by=clinician)
    answer = client.post(reverse("attachment_remove", args=[kept.pk]), form(reason=" "))
    assert answer.status_code == 422
    assert "Say why" in text(answer)


def test_a_file_that_is_lost_is_said_to_be_not_there(client, case, clinician, caplog):
    kept = AttachmentFactory(case=case)
    attachment_storage().delete(kept.file.name)
    with caplog.at_level("ERROR"):
        assert client.get(reverse("attachment_file", args=[kept.pk])).status_code == 404
    assert f"attachment {kept.pk} is not in its storage" in caplog.text


def test_the_pages_ask_the_database_as_often_for_three_files_as_for_one(
    client, case, clinician, django_assert_max_num_queries
):
    AttachmentFactory(case=case, stage=case.current_stage)
    for count in (1, 3):
        while Attachment.objects.count() < count:
            AttachmentFactory(case=case, by=ClinicianFactory())
        with django_assert_max_num_queries(6):
            client.get(address(case))


def test_another_practices_file_is_unknown(client, clinician):
    foreign = AttachmentFactory(file=in_storage(PICTURE))
    assert client.get(reverse("attachment_file", args=[foreign.pk])).status_code == 404
