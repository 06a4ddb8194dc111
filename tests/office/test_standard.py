import datetime
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.measurements.queries import lab_standards
from labcases.measurements.standards import plain_standard, stored_standard
from labcases.office.forms.standard import StandardForm
from labcases.prosthodontics.standard import HOUSE_NORMS, HOUSE_STANDARD
from tests.office.desk import as_manager, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db
URL = reverse("office:standard")
HEIGHT = "occlusion_rims-maxillary-anterior_height"
OFFSET = "occlusion_rims-maxillary-labial_offset"


def boxes(**changes):
    """Every box of the page as it stands, some of them changed."""
    stored = lab_standards()
    newest = max(stored, key=lambda row: row.pk, default=None)
    form = StandardForm(standard=plain_standard(newest), today=timezone.localdate())
    shown = {name: form[name].value() for name in form.fields}
    return shown | {"seen": newest.pk if newest else "", "note": "Tried on ten cases"} | changes


def in_force():
    return plain_standard(stored_standard(timezone.localdate()))


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:standard")


def test_every_delivered_figure_has_its_boxes_and_its_class_of_evidence(client):
    as_manager(client)
    content = client.get(URL).content.decode()
    for norm in HOUSE_NORMS:
        part = "target" if norm.target is not None else "wording"
        assert f'name="{norm.stage}-{norm.arch}-{norm.dimension}-{part}"' in content
    assert "Common practice, no source" in content
    assert "textbook chapter at pocketdentistry.com" in content


def test_a_changed_figure_makes_a_new_dated_standard(client):
    manager = as_manager(client)
    post(client, "office:standard", **boxes(**{f"{HEIGHT}-target": "21,5", f"{HEIGHT}-minus": "0.5"}))
    norm = in_force().norm("occlusion_rims", "maxillary", "anterior_height")
    assert (norm.target, norm.minus, norm.plus) == (Decimal("21.5"), Decimal("0.5"), Decimal(1))
    (stored,) = lab_standards()
    assert (stored.made_by, stored.note) == (manager, "Tried on ten cases")


def test_figures_left_as_delivered_keep_their_source(client):
    as_manager(client)
    post(client, "office:standard", **boxes(**{f"{HEIGHT}-target": "21.5"}))
    (stored,) = lab_standards()
    assert [norm.dimension for norm in stored.norms.all()] == ["anterior_height"]
    width = ("occlusion_rims", "maxillary", "anterior_width")
    assert in_force().norm(*width).source == HOUSE_STANDARD.norm(*width).source


def test_an_own_figure_stays_through_the_next_standard(client):
    as_manager(client)
    post(client, "office:standard", **boxes(**{f"{HEIGHT}-target": "21.5"}))
    post(client, "office:standard", **boxes(school_pad_level="half"))
    assert in_force().norm("occlusion_rims", "maxillary", "anterior_height").target == Decimal("21.5")
    assert in_force().schools.pad_level == "half"
    content = client.get(URL).content.decode()
    assert "Anterior height, maxillary: 22.0 mm (−1.0 mm, +1.0 mm) becomes 21.5 mm" in content
    assert "two thirds of the retromolar pad&#x27;s height becomes half" in content


def test_a_rule_in_words_can_be_the_laboratorys_own(client):
    as_manager(client)
    post(client, "office:standard", **boxes(**{"custom_tray-maxillary-vent-wording": "One vent, always."}))
    assert in_force().norm("custom_tray", "maxillary", "vent").note == "One vent, always."


def test_a_standard_of_a_later_day_waits_for_it(client):
    as_manager(client)
    later = timezone.localdate() + datetime.timedelta(days=9)
    post(client, "office:standard", **boxes(**{f"{HEIGHT}-target": "21.5", "valid_from": later.isoformat()}))
    assert in_force() == HOUSE_STANDARD
    assert "not in force yet" in client.get(URL).content.decode()


def test_the_distance_moves_with_the_papilla_point(client):
    as_manager(client)
    post(client, "office:standard", **boxes(school_papilla_reference="centre"))
    assert in_force().norm("occlusion_rims", "maxillary", "labial_offset").target == Decimal(9)


def test_an_own_distance_asks_for_the_one_of_the_new_point(client):
    as_manager(client)
    post(client, "office:standard", **boxes(**{f"{OFFSET}-target": "6.5"}))
    response = post(client, "office:standard", **boxes(school_papilla_reference="centre"))
    assert response.status_code == 422
    assert "belongs to the papilla point" in response.content.decode()
    again = boxes(school_papilla_reference="centre", **{f"{OFFSET}-target": "9.5"})
    assert post(client, "office:standard", **again).status_code == 302


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({f"{HEIGHT}-target": ""}, "required"),
        ({f"{HEIGHT}-target": "99"}, "allowed: 5 to"),
        ({f"{HEIGHT}-minus": "-1"}, "a sign makes no sense here"),
        ({f"{HEIGHT}-plus": "1.250"}, "more than two decimals"),
        ({"valid_from": "2020-01-01"}, "from today or later"),
        ({"school_pad_level": "a quarter"}, "valid choice"),
    ],
)
def test_what_cannot_be_is_refused_with_what_was_typed(client, changes, words):
    as_manager(client)
    response = post(client, "office:standard", **boxes(**changes))
    assert response.status_code == 422
    assert words in response.content.decode()
    assert lab_standards() == []


def test_an_old_page_is_a_conflict(client):
    as_manager(client)
    old = boxes(**{f"{HEIGHT}-target": "20"})
    post(client, "office:standard", **boxes(**{f"{HEIGHT}-target": "21"}))
    assert post(client, "office:standard", **old).status_code == 409
    assert len(lab_standards()) == 1


def test_the_history_asks_the_database_little(client, django_assert_num_queries):
    as_manager(client)
    post(client, "office:standard", **boxes(**{f"{HEIGHT}-target": "21"}))
    client.get(URL)  # shows the message, which the session then forgets
    with django_assert_num_queries(4):
        client.get(URL)
    for target in ("21.5", "22.5"):
        post(client, "office:standard", **boxes(**{f"{HEIGHT}-target": target}))
    client.get(URL)
    with django_assert_num_queries(4):
        client.get(URL)
