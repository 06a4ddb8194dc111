"""What the built-in tags write: words beside shapes, boxes that read figures, no trust in what was typed."""

import datetime
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django import forms
from django.template import Context, Template
from django.utils import timezone, translation

from labcases.pages.templatetags import trade
from labcases.prosthodontics.specification.lines import Basis, Dimension

TODAY = datetime.date(2026, 11, 25)


class FigureBox(forms.CharField):
    """A box for one quantity, as the pages' own figure field presents itself to a template."""

    unit = "mm"

    def __init__(self, *, negative=False, **kwargs):
        self.quantity = SimpleNamespace(unusual=(Decimal("9"), Decimal("16.5")), negative=negative)
        super().__init__(**kwargs)


class Prescription(forms.Form):
    patient = forms.CharField(label="Patient’s code", help_text="A code, never a name.")
    depth = FigureBox(label="Sulcus to papilla", required=False)
    display = FigureBox(label="Display at rest", negative=True, required=False)
    arches = forms.ChoiceField(choices=[("b", "Both"), ("u", "Upper")], widget=forms.RadioSelect)
    keep = forms.BooleanField(label="Keep it", required=False)


def rendered(text: str, **context: object) -> str:
    return " ".join(Template(text).render(Context(context)).split())


def dimension(**changes: object) -> Dimension:
    usual = {
        "name": "anterior_height",
        "label": "Anterior height",
        "arch": "maxillary",
        "target": Decimal("21.0"),
        "lower": Decimal("20.0"),
        "upper": Decimal("22.0"),
        "unit": "mm",
        "basis": Basis.COMPUTED,
        "source": "derived here",
        "why": "12.5 mm and 7.5 mm, with 1.0 mm to show.",
        "formula": "12.5 + 7.5 + 1.0 = 21.0 mm",
    }
    return Dimension(**{**usual, **changes})


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (Decimal("21"), "21.0"),
        (Decimal("21.25"), "21.25"),
        (Decimal("-0.5"), "\N{MINUS SIGN}0.5"),
        (None, "–"),
    ],
)
def test_a_figure_is_written_with_one_decimal_or_as_many_as_it_needs(value, shown):
    assert rendered("{{ value|mm }}", value=value) == shown


def test_a_figure_has_the_decimal_mark_of_the_readers_language():
    with translation.override("de"):
        assert rendered("{{ value|mm }}", value=Decimal("12.5")) == "12,5"


def test_a_day_is_written_with_its_weekday_and_a_year_only_where_it_is_another():
    this_year = timezone.localdate().replace(month=11, day=26)
    assert trade.day(this_year) == f"{this_year:%a} 26 Nov"
    assert trade.day(datetime.date(2020, 2, 29)) == "Sat 29 Feb 2020"


def test_a_moment_is_written_in_the_laboratorys_own_time(settings):
    settings.TIME_ZONE = "Europe/London"
    with timezone.override("Europe/London"):
        in_summer = datetime.datetime(2020, 7, 1, 12, 5, tzinfo=datetime.UTC)
        assert trade.moment(in_summer) == "Wed 1 Jul 2020, 13:05"


@pytest.mark.parametrize(
    ("days", "words", "name"),
    [
        (-2, "2 days late", "late"),
        (-1, "1 day late", "late"),
        (0, "today", "soon"),
        (1, "tomorrow", "soon"),
        (6, "in 6 days", "fine"),
    ],
)
def test_a_wanted_day_says_how_far_off_it_is(days, words, name):
    shown = trade.due(TODAY + datetime.timedelta(days=days), TODAY)
    assert f", {words}</span>" in shown
    assert f'class="due due-{name}"' in shown


def test_a_late_day_has_a_shape_and_words_besides_its_colour():
    page = rendered("{% due on today %}", on=TODAY - datetime.timedelta(days=3), today=TODAY)
    assert "icons.svg#warn" in page
    assert "3 days late" in page


@pytest.mark.parametrize(
    ("value", "shape"), [("within", "within"), ("outside", "outside"), ("measure again", "again")]
)
def test_every_verdict_is_a_shape_and_a_word(value, shape):
    page = rendered("{% verdict value '0.3 mm inside' %}", value=value)
    assert f"icons.svg#{shape}" in page
    assert value in page
    assert "0.3 mm inside" in page


def test_an_unknown_verdict_is_an_error_and_never_shown_as_within():
    with pytest.raises(KeyError):
        trade.verdict("good enough")


def test_a_box_for_a_figure_is_text_with_a_decimal_keypad_and_its_unit_twice():
    page = rendered("{% field form.depth %}", form=Prescription())
    assert 'type="text"' in page
    assert 'inputmode="decimal"' in page
    assert 'data-usual-low="9"' in page
    assert 'data-usual-high="16.5"' in page
    assert 'Sulcus to papilla <span class="label-unit">in mm</span>' in page
    assert '<span class="unit" aria-hidden="true">mm</span>' in page


def test_a_figure_that_may_be_negative_gets_a_keyboard_with_a_minus():
    assert 'inputmode="decimal"' not in rendered("{% field form.display %}", form=Prescription())


def test_a_box_names_its_hint_its_error_and_its_note_to_a_screen_reader():
    page = rendered("{% field form.patient %}{% field form.depth %}", form=Prescription({"patient": ""}))
    assert 'aria-describedby="id_patient_helptext id_patient_error"' in page
    for part in ("id_patient_helptext", "id_patient_error", "id_depth_note"):
        assert f'id="{part}"' in page
    assert 'aria-invalid="true"' in page


def test_what_was_typed_stays_in_its_box_and_is_escaped():
    page = rendered("{% field form.depth %}", form=Prescription({"depth": '12"><script>'}))
    assert 'value="12&quot;&gt;&lt;script&gt;"' in page


def test_choices_are_a_group_with_a_legend():
    page = rendered("{% field form.arches %}", form=Prescription())
    assert "<fieldset" in page
    assert "<legend>Arches</legend>" in page


def test_the_summary_links_each_error_to_its_box():
    form = Prescription({"patient": "", "arches": "b"})
    form.add_error(None, "The dates contradict each other.")
    page = rendered("{% error_summary form %}", form=form)
    assert "2 things to put right" in page
    assert '<a href="#id_patient">Patient’s code: This field is required.</a>' in page
    assert "<li>The dates contradict each other.</li>" in page


def test_there_is_no_summary_before_a_form_was_sent():
    assert rendered("{% error_summary form %}", form=Prescription()) == ""


def test_three_readings_of_one_dimension_share_a_name_and_keep_their_own_boxes():
    page = rendered(
        "{% repeats form.depth form.display label='Anterior height' target='21.0 mm' %}", form=Prescription()
    )
    assert '<legend class="label">Anterior height' in page
    assert '<label class="visually-hidden" for="id_depth">Reading 1</label>' in page
    assert '<label class="visually-hidden" for="id_display">Reading 2</label>' in page
    assert "target <b>21.0 mm</b>" in page


def test_a_figures_row_shows_target_limits_basis_and_answers_why():
    page = rendered("{% figures rows %}", rows=[dimension()])
    for text in ("21.0", "20.0 to 22.0", "computed", "12.5 + 7.5 + 1.0 = 21.0 mm", "Source: derived here"):
        assert text in page
    assert "Measured" not in page


def test_a_line_without_a_number_shows_its_wording():
    line = dimension(target=None, lower=None, upper=None, wording="just in front of the tuberosity")
    page = rendered("{% figures rows %}", rows=[line])
    assert "just in front of the tuberosity" in page
    assert "20.0" not in page


@pytest.mark.parametrize(
    ("limits", "words"), [({"upper": None}, "at least 20.0"), ({"lower": None}, "at most 22.0")]
)
def test_a_single_limit_is_said_in_words(limits, words):
    assert words in rendered("{% figures rows %}", rows=[dimension(**limits)])


def test_a_measured_row_shows_the_reading_and_its_verdict():
    row = {
        "dimension": dimension(),
        "value": Decimal("21.2"),
        "judgement": {"verdict": "within", "words": "0.8 mm inside"},
    }
    page = rendered("{% figures rows measured=True %}", rows=[SimpleNamespace(**row)])
    assert "21.2" in page
    assert "within" in page
    assert "0.8 mm inside" in page


def test_a_form_that_enter_must_not_send_begins_with_a_disabled_button():
    page = rendered("{% no_enter %}")
    assert page.startswith("<button")
    assert "disabled" in page


def test_the_crossing_line_is_a_silent_drawing_beside_its_words():
    stops = [
        trade.Stop(label="Reline impression", place="clinic", state="done", date_text="Mon 23 Nov"),
        trade.Stop(label="Reline <b>", place="laboratory", state="in_progress", current=True),
    ]
    page = rendered("{% crossing_line stops %}", stops=stops)
    assert page.count('aria-hidden="true"') == 2
    assert "<li>Reline impression, at the clinic, done, Mon 23 Nov</li>" in page
    assert "Reline &lt;b&gt;" in page
    assert "Reline <b>" not in page
