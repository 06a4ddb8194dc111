"""Files of cases in a storage on another machine: added, shown, erased, backed up and restored through it alone."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import override_settings
from django.urls import reverse
from django.utils import timezone

from labcases.attachments.actions.erasing import erase_files
from labcases.attachments.models import Attachment
from labcases.operation.actions.backing_up import write_backup
from labcases.operation.archive.reading import opened
from labcases.operation.landed import state_of_archive
from labcases.operation.stored_files import places_in_archive, put_back
from tests.bench.benchwork import form
from tests.factories.attachments import PICTURE
from tests.factories.cases import taken_in_case
from tests.operation.bucket import Bucket


@pytest.fixture
def bucket(settings, monkeypatch):
    monkeypatch.setattr(Bucket, "kept", {})
    elsewhere = {"BACKEND": "tests.operation.bucket.Bucket", "OPTIONS": {"bucket_name": "lab"}}
    with override_settings(STORAGES={**settings.STORAGES, "attachments": elsewhere}):
        for name in ("file", "small"):
            # A field asks for its storage once, as the site starts.
            monkeypatch.setattr(Attachment._meta.get_field(name), "storage", Bucket("lab"))
        yield Bucket("lab")


@pytest.fixture
def photograph(client, bucket):
    case = taken_in_case()
    client.force_login(case.prescriber)
    sent = form(view="front_at_rest", belongs_to="", caption="", file=SimpleUploadedFile("a.jpg", PICTURE))
    assert client.post(reverse("attachments", args=[case.number]), sent).status_code == 302
    return Attachment.objects.get()


@pytest.mark.django_db
def test_a_photograph_is_added_shown_and_erased(
    client, bucket, photograph, django_capture_on_commit_callbacks
):
    assert bucket.files.keys() == {photograph.file.name, photograph.small.name}
    for page, kept in (("attachment_file", photograph.file), ("attachment_small", photograph.small)):
        answer = client.get(reverse(page, args=[photograph.pk]))
        assert answer.getvalue() == bucket.files[kept.name]
        assert int(answer["Content-Length"]) == len(bucket.files[kept.name])
    with django_capture_on_commit_callbacks(execute=True):
        erase_files(photograph.case)
    assert bucket.files == {}


@pytest.mark.django_db(transaction=True)
def test_a_backup_takes_them_from_there_and_puts_them_back(bucket, photograph, tmp_path):
    path, files = tmp_path / "backup.zip", dict(bucket.files)
    write_backup(path, now=timezone.now())
    bucket.files.clear()
    with (
        opened(path) as archive,
        put_back(archive, places_in_archive(archive, state_of_archive(archive.manifest))),
    ):
        assert bucket.files == files
    assert len(files) == 2
