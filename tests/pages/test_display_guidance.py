import pytest
from django.urls import reverse

from tests.factories.measurements import LabStandardFactory
from tests.factories.people import ClinicianFactory

pytestmark = pytest.mark.django_db
URL = reverse("display_guidance")
ASKED = {"patient_age": "71", "patient_sex": "male", "figure_upper_lip_length": "22"}


def test_the_fragment_holds_the_means_with_their_sources(client):
    client.force_login(ClinicianFactory())
    response = client.get(URL, ASKED, headers={"HX-Request": "true"})
    content = response.content.decode()
    assert content.lstrip().startswith('<div class="panel" id="display-guidance">')
    assert "age 60 and over" in content
    assert "published, recalled, not yet verified" in content
    assert "HX-Request" in response.headers["Vary"]


def test_asked_for_plainly_it_is_a_whole_page(client):
    client.force_login(ClinicianFactory())
    assert "<html" in client.get(URL, ASKED).content.decode()


def test_the_table_that_the_laboratory_chose_stands_first(client):
    client.force_login(ClinicianFactory())
    LabStandardFactory(schools={"display_guidance": "lip_length"})
    content = client.get(URL, ASKED).content.decode()
    assert content.index("upper lip 21 to 25 mm") < content.index("age 60 and over")
