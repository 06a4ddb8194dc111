"""Files of cases with something small in the storage, and pictures drawn for a test."""

import hashlib
import io

import factory
from django.core.files.base import ContentFile
from PIL import Image

from labcases.attachments import models
from labcases.attachments.choices import Kind, View
from labcases.attachments.storage import attachment_storage, new_name
from tests.factories.cases import NOW, CaseFactory
from tests.factories.people import ManagerFactory


def picture(
    form: str = "JPEG", *, size: tuple[int, int] = (60, 40), colour="#c08070", mode="RGB", **save
) -> bytes:
    out = io.BytesIO()
    Image.new(mode, size, colour).save(out, form, **save)
    return out.getvalue()


PICTURE = picture()


def in_storage(data: bytes, suffix: str = "jpg") -> str:
    return attachment_storage().save(new_name(suffix), ContentFile(data))


class AttachmentFactory(factory.django.DjangoModelFactory):
    """A photograph on a case's prescription."""

    class Meta:
        model = models.Attachment

    case = factory.SubFactory(CaseFactory)
    kind = Kind.PHOTOGRAPH
    view = View.FRONT_AT_REST
    file = factory.LazyFunction(lambda: in_storage(PICTURE))
    small = factory.LazyFunction(lambda: in_storage(PICTURE))
    size = len(PICTURE)
    sha256 = hashlib.sha256(PICTURE).hexdigest()
    width, height = 60, 40
    by = factory.SubFactory(ManagerFactory)
    at = NOW
