import datetime
import io

import pdfplumber
import pytest
from django.urls import reverse
from django.utils import timezone

from tests.factories.people import ClinicianFactory, PracticeFactory, TechnicianFactory
from tests.factories.planning import CollectionDayFactory, TransportFactory
from tests.office.desk import as_manager
from tests.planning.laboratory import case_here, tray_done

pytestmark = pytest.mark.django_db


@pytest.fixture
def waiting():
    """A case that is ready to go out, at a practice collected every day."""
    practice = PracticeFactory(name="Orchard Row", code="ORR")
    row = TransportFactory(practice=practice)
    for weekday in range(7):
        CollectionDayFactory(transport=row, weekday=weekday, cut_off=datetime.time(15))
    return tray_done(case_here(practice=practice, now=timezone.now()), now=timezone.now())


def test_the_list_shows_what_goes_out_today(client, waiting):
    as_manager(client)
    text = client.get(reverse("office:collections")).content.decode()
    assert "Orchard Row" in text
    assert waiting.number in text


def test_a_technician_reads_it_too(client, waiting):
    client.force_login(TechnicianFactory())
    assert client.get(reverse("office:collections")).status_code == 200
    client.force_login(ClinicianFactory())
    assert client.get(reverse("office:collections")).status_code == 403
    assert client.get(reverse("office:collections_sheet")).status_code == 403


@pytest.mark.parametrize("day", ["", "soon", "\x00", "0001-01-01", "9999-12-31", "2026-03-04"])
def test_any_day_in_the_address_is_answered(client, day):
    as_manager(client)
    answer = client.get(reverse("office:collections"), {"day": day})
    assert answer.status_code == 200
    assert "Nothing goes out" in answer.content.decode()


def test_the_sheet_is_a_pdf_with_the_numbers_on_it(client, waiting):
    as_manager(client)
    answer = client.get(reverse("office:collections_sheet"))
    assert answer.headers["Content-Type"] == "application/pdf"
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        text = pdf.pages[0].extract_text()
    assert "Orchard Row (ORR)" in text
    assert waiting.number in text
    assert "Page 1 of 1" in text
    assert waiting.patient_code not in text
