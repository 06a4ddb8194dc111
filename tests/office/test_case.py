import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.actions.crossings import hand_to_clinic
from labcases.cases.actions.returns import send_back
from labcases.cases.choices import ReturnCause
from labcases.cases.queries import stages_to_return_to
from labcases.tickets.actions import issue_ticket
from tests.factories.cases import add_figures
from tests.factories.measurements import entry
from tests.factories.people import ClinicianFactory, TechnicianFactory
from tests.office.desk import as_manager, case_now, receive, refused_to_everybody_else, work_through

pytestmark = pytest.mark.django_db

LIP = entry("papilla_to_resting_lip", "7.5", instrument="papillameter")


def shown(client, case):
    response = client.get(reverse("office:case", args=[case.number]))
    assert response.status_code == 200
    return response.content.decode()


@pytest.fixture
def manager(client):
    return as_manager(client)


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:case", case_now().number)


def test_a_mistyped_and_an_unknown_number_are_not_found_alike(client, manager):
    for number in ("26-00417-K", "26-00417-A", "nonsense", "x" * 200):
        assert client.get(reverse("office:case", args=[number])).status_code == 404


def test_a_number_is_read_however_it_is_written(client, manager):
    case = case_now()
    assert client.get(reverse("office:case", args=[case.number.lower().replace("-", "")])).status_code == 200


def test_the_way_says_where_the_case_is(client, manager):
    case = case_now()
    assert "Custom tray, at the laboratory, waiting" in shown(client, case)
    assert "(the case is here now)" in shown(client, case)


def test_what_is_missing_is_listed(client, manager):
    content = shown(client, case_now(sign=False, base_material=""))
    assert "The denture base material" in content
    assert "cannot go to the bench" in content


def test_the_one_thing_to_do_follows_the_case(client, manager):
    def step(case):
        return client.get(reverse("office:case", args=[case.number])).context["step"]

    case = case_now()
    assert step(case_now(sign=False)) == "complete"
    assert step(case) == "receive"
    receive(case, manager)
    assert step(case) == "assign"
    stage = work_through(case, "definitive_impressions", manager)
    assert step(case) == "hand_over"
    hand_to_clinic(case=case, by=manager, now=timezone.now())
    assert step(case) == "record"
    assert stage.kind == "definitive_impressions"


def test_figures_and_specifications_show_their_basis_and_why(client, manager):
    case = case_now(figures=[LIP, entry("incisal_display", "1.0"), entry("sulcus_to_papilla", "12.5")])
    content = shown(client, case)
    assert "Papilla to resting upper lip" in content
    assert "Occlusion rims, revision 1" in content
    assert 'class="basis basis-computed"' in content


def test_a_new_figure_shows_what_each_revision_changed(client, manager):
    case = case_now()
    figures = [LIP, entry("incisal_display", "1.0"), entry("sulcus_to_papilla", "12.5")]
    add_figures(case, figures, by=manager, now=timezone.now())
    content = shown(client, case)
    assert "Occlusion rims, revision 2" in content
    assert "Anterior height: 22.0 mm (21.0 to 23.0) becomes 21.0 mm" in content


def test_a_return_shows_its_cause_and_the_way_back(client, manager):
    case = case_now()
    stage = work_through(case, "jaw_relation", manager)
    hand_to_clinic(case=case, by=manager, now=timezone.now())
    send_back(
        stage=stage,
        to=stages_to_return_to(case)[0],
        cause=ReturnCause.RIM_HEIGHT,
        note="Three millimetres show at rest",
        by=manager,
        expected_version=stage.version,
        now=timezone.now(),
    )
    content = shown(client, case)
    assert "sent back to occlusion rims" in content
    assert "Three millimetres show at rest" in content


def test_the_log_says_who_did_what(client, manager):
    case = case_now(by=manager)
    receive(case, manager)
    content = shown(client, case)
    assert "Disinfected with Label A, 10 min (its label asks 10)" in content
    assert "Complete denture, both arches, from custom tray on" in content


def test_papers_can_be_opened_again_and_an_old_one_says_so(client, manager):
    case = case_now()
    receive(case, manager)
    rims = case.stages.get(kind="occlusion_rims")
    ticket = issue_ticket(stage=rims, by=manager, now=timezone.now())
    content = shown(client, case)
    assert reverse("ticket_pdf", args=[ticket.code]) in content
    assert "Old paper" not in content
    figures = [LIP, entry("incisal_display", "1.0"), entry("sulcus_to_papilla", "12.5")]
    add_figures(case, figures, by=manager, now=timezone.now())
    assert "Old paper: revision 2 is current" in shown(client, case)


def test_typed_text_is_never_markup(client, manager):
    case = case_now(notes="<script>alert(1)</script>", patient_code="<b>x</b>")
    content = shown(client, case)
    assert "<script>alert(1)" not in content
    assert "&lt;b&gt;x&lt;/b&gt;" in content


def test_the_number_of_queries_stays_small_however_much_happened(
    client, manager, django_assert_max_num_queries
):
    TechnicianFactory()
    ClinicianFactory()
    case = case_now(figures=[LIP])
    work_through(case, "jaw_relation", manager)
    issue_ticket(stage=case.stages.get(kind="occlusion_rims"), by=manager, now=timezone.now())
    with django_assert_max_num_queries(12):
        client.get(reverse("office:case", args=[case.number]))
