"""What follows from the figures, on the sheet of the stage that takes them."""

import html
import re

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.choices import StageKind
from labcases.measurements.actions.moulds import import_moulds
from labcases.measurements.actions.readings import record_readings
from tests.bench.benchwork import an_hour_ago, stage_at_work, text
from tests.factories.measurements import NormFactory, entry
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.measurements.derivations.made import CASTS

pytestmark = pytest.mark.django_db
CAST = [
    entry(name, value, arch=arch, confirmed=True) for arch in CASTS for name, value in CASTS[arch].items()
]


@pytest.fixture
def technician(client):
    person = TechnicianFactory()
    client.force_login(person)
    return person


def open_sheet(client, stage):
    response = client.get(reverse("bench:sheet", args=[stage.pk]))
    assert response.status_code == 200
    return response


def measured(stage, by, *entries):
    record_readings(stage=stage, entries=entries, by=by, now=an_hour_ago())
    return stage


def test_a_cast_that_was_measured_tells_what_the_rim_comes_to(client, technician):
    stage = measured(stage_at_work(by=technician), technician, *CAST)
    said = text(open_sheet(client, stage))
    assert "What this rim comes to Arc between the canine lines" in said
    assert "Wax for the rim" in said
    assert "from memory, unverified" in said


def test_a_cast_that_was_not_says_what_to_measure(client, technician):
    said = text(open_sheet(client, stage_at_work(by=technician)))
    assert "For this rim’s outline" in said.replace("'", "’")
    assert "depth of the arch" in said


def test_the_way_to_the_calculator_brings_this_cases_figures(client, technician):
    stage = measured(stage_at_work(by=technician, arches="maxillary"), technician, *CAST[:8])
    page = open_sheet(client, stage).content.decode()
    [address] = re.findall(r'href="([^"]*/calculators/rim_outline[^"]*)"', page)
    arc = float(re.search(r"Arc between the canine lines</dt>\s*<dd><b>([\d.]+) mm", page).group(1))
    said = text(client.get(html.unescape(address)))
    there = re.search(r"Arc of the labial edge between the canine lines ([\d.]+) mm", said).group(1)
    assert float(there) == pytest.approx(arc, abs=0.06)


def test_heights_that_were_taken_are_held_against_each_other(client, technician):
    heights = {"anterior_height": "22.5", "posterior_height_left": "18.0", "posterior_height_right": "18.0"}
    entries = [entry(name, value) for name, value in heights.items()]
    stage = measured(stage_at_work(by=technician), technician, *CAST, *entries)
    said = text(open_sheet(client, stage))
    assert "Checks across readings" in said
    assert "The front lies lower" in said


def test_moulds_are_ranked_where_teeth_are_arranged(client, technician):
    moulds = "mould,six_anterior_width\nShell,50\nPebble,46\n"
    import_moulds(text=moulds, by=ManagerFactory(), now=timezone.now(), expected=None)
    stage = stage_at_work(by=technician, kind=StageKind.TOOTH_ARRANGEMENT)
    measured(stage, technician, entry("central_incisor_width", "8.5"))
    said = text(open_sheet(client, stage))
    assert "Articulator" in said
    assert "Shell" in said


@pytest.mark.parametrize(
    "kind",
    [
        StageKind.CUSTOM_TRAY,
        StageKind.MASTER_CAST,
        StageKind.RECORD_BASE,
        StageKind.OCCLUSION_RIMS,
        StageKind.TOOTH_ARRANGEMENT,
        StageKind.PROCESSING,
    ],
)
def test_no_sheet_takes_more_than_twelve_queries(client, technician, django_assert_max_num_queries, kind):
    NormFactory()
    stage = stage_at_work(by=technician, kind=kind, impression_material="silicone")
    if kind == StageKind.OCCLUSION_RIMS:
        measured(stage, technician, *CAST)
    with django_assert_max_num_queries(12):
        open_sheet(client, stage)
