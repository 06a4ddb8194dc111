"""The words of a case. Stage and cause keys are stored; the labels are what people read."""

from django.db import models
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

ARCHES_IN_WORDS = {"maxillary": _("maxillary"), "mandibular": _("mandibular")}


def arch_in_words(arch: str) -> str:
    """An arch's key as people read it; nothing for what is of no arch."""
    return str(ARCHES_IN_WORDS.get(arch, arch))


class Place(models.TextChoices):
    CLINIC = "clinic", _("Clinic")
    LABORATORY = "laboratory", _("Laboratory")


class Arches(models.TextChoices):
    BOTH = "both", _("Both arches")
    MAXILLARY = "maxillary", _("Maxillary only")
    MANDIBULAR = "mandibular", _("Mandibular only")

    @property
    def each(self) -> tuple[str, ...]:
        """The arches treated, upper first."""
        return ("maxillary", "mandibular") if self == Arches.BOTH else (self.value,)


class CaseKind(models.TextChoices):
    COMPLETE = "complete", _("Complete denture")
    IMMEDIATE = "immediate", _("Immediate denture")
    COPY = "copy", _("Copy denture")
    RELINE = "reline", _("Reline")


class StageKind(models.TextChoices):
    PRELIMINARY_IMPRESSIONS = "preliminary_impressions", _("Preliminary impressions")
    CUSTOM_TRAY = "custom_tray", _("Custom tray")
    DEFINITIVE_IMPRESSIONS = "definitive_impressions", _("Definitive impressions")
    MASTER_CAST = "master_cast", _("Master cast")
    RECORD_BASE = "record_base", _("Record base")
    OCCLUSION_RIMS = "occlusion_rims", _("Occlusion rims")
    JAW_RELATION = "jaw_relation", _("Jaw relation record")
    TOOTH_ARRANGEMENT = "tooth_arrangement", _("Tooth arrangement")
    TRY_IN = "try_in", _("Try-in")
    PROCESSING = "processing", _("Processing and finishing")
    INSERTION = "insertion", _("Insertion")
    RELINE_IMPRESSION = "reline_impression", _("Reline impression")
    RELINE = "reline", _("Reline")
    COPY_IMPRESSION = "copy_impression", _("Copy impression of the denture worn")
    COPY_TEMPLATE = "copy_template", _("Copy template")
    REPAIR = "repair", _("Repair")

    @property
    def place(self) -> Place:
        return Place.CLINIC if self in CLINIC_STAGES else Place.LABORATORY


CLINIC_STAGES = frozenset(
    {
        StageKind.PRELIMINARY_IMPRESSIONS,
        StageKind.DEFINITIVE_IMPRESSIONS,
        StageKind.JAW_RELATION,
        StageKind.TRY_IN,
        StageKind.INSERTION,
        StageKind.RELINE_IMPRESSION,
        StageKind.COPY_IMPRESSION,
    }
)

# Delivered paths (common practice, no source); a laboratory's own path replaces its kind's.
USUAL_PATHS: dict[CaseKind, tuple[StageKind, ...]] = {
    CaseKind.COMPLETE: (
        StageKind.PRELIMINARY_IMPRESSIONS,
        StageKind.CUSTOM_TRAY,
        StageKind.DEFINITIVE_IMPRESSIONS,
        StageKind.MASTER_CAST,
        StageKind.RECORD_BASE,
        StageKind.OCCLUSION_RIMS,
        StageKind.JAW_RELATION,
        StageKind.TOOTH_ARRANGEMENT,
        StageKind.TRY_IN,
        StageKind.PROCESSING,
        StageKind.INSERTION,
    ),
    # No anterior try-in while natural teeth stand.
    CaseKind.IMMEDIATE: (
        StageKind.PRELIMINARY_IMPRESSIONS,
        StageKind.CUSTOM_TRAY,
        StageKind.DEFINITIVE_IMPRESSIONS,
        StageKind.MASTER_CAST,
        StageKind.RECORD_BASE,
        StageKind.OCCLUSION_RIMS,
        StageKind.JAW_RELATION,
        StageKind.TOOTH_ARRANGEMENT,
        StageKind.PROCESSING,
        StageKind.INSERTION,
    ),
    CaseKind.COPY: (
        StageKind.COPY_IMPRESSION,
        StageKind.COPY_TEMPLATE,
        StageKind.JAW_RELATION,
        StageKind.TOOTH_ARRANGEMENT,
        StageKind.TRY_IN,
        StageKind.PROCESSING,
        StageKind.INSERTION,
    ),
    CaseKind.RELINE: (StageKind.RELINE_IMPRESSION, StageKind.RELINE, StageKind.INSERTION),
}


class StageState(models.TextChoices):
    WAITING = "waiting", _("Waiting")
    IN_PROGRESS = "in_progress", _("In progress")
    ON_HOLD = "on_hold", _("On hold")
    DONE = "done", _("Done")
    RETURNED = "returned", _("Sent back")
    SKIPPED = "skipped", _("Not needed here")


OPEN_STATES = (StageState.WAITING, StageState.IN_PROGRESS, StageState.ON_HOLD)
WORK_STATES = (StageState.IN_PROGRESS, StageState.ON_HOLD)


class CaseState(models.TextChoices):
    INCOMPLETE = "incomplete", _("Prescription incomplete")
    OPEN = "open", pgettext_lazy("state of a case", "Open")
    COMPLETE = "complete", pgettext_lazy("state of a case", "Complete")
    CANCELLED = "cancelled", _("Cancelled")


STILL_OPEN = (CaseState.OPEN, CaseState.INCOMPLETE)


class Location(models.TextChoices):
    CLINIC = "clinic", _("At the clinic")
    TO_LABORATORY = "to_laboratory", _("On its way to the laboratory")
    LABORATORY = "laboratory", _("At the laboratory")
    TO_CLINIC = "to_clinic", _("On its way to the clinic")


class Sex(models.TextChoices):
    FEMALE = "female", _("Female")
    MALE = "male", _("Male")


class ImpressionMaterial(models.TextChoices):
    ZINC_OXIDE_EUGENOL = "zinc_oxide_eugenol", _("Zinc oxide–eugenol paste")
    ALGINATE = "alginate", _("Alginate")
    SILICONE = "silicone", _("Silicone")
    POLYSULFIDE = "polysulfide", _("Polysulfide")
    POLYETHER = "polyether", _("Polyether")
    PLASTER = "plaster", _("Impression plaster")


class ReturnCause(models.TextChoices):
    """Why work comes back (common practice, no source)."""

    IMPRESSION = "impression", _("Impression defect")
    CAST = "cast", _("Cast defect")
    TRAY_LONG = "tray_long", _("Tray overextended")
    BASE_UNSTABLE = "base_unstable", _("Base unstable")
    RIM_HEIGHT = "rim_height", _("Rim too high or too low")
    PLANE = "plane", _("Plane canted")
    MIDLINE = "midline", _("Midline off")
    VERTICAL_DIMENSION = "vertical_dimension", _("Vertical dimension")
    CENTRIC_RELATION = "centric_relation", _("Centric relation error")
    MOULD_SHADE = "mould_shade", _("Mould or shade")
    APPEARANCE = "appearance", _("Appearance of the arrangement")
    BALANCE = "balance", _("Occlusal balance")
    POROSITY = "porosity", _("Porosity")
    FRACTURE = "fracture", _("Fracture")
    PIN_OPENING = "pin_opening", _("Pin opening after processing")
    WRONG_PATIENT = "wrong_patient", _("Wrong patient or paper incomplete")
    LATE = "late", _("Came late")
    OTHER = "other", _("Other, see the note")


class Act(models.TextChoices):
    """What happened, in the log's words."""

    OPENED = "opened", _("Case opened")
    PRESCRIPTION_CHANGED = "prescription_changed", _("Prescription changed")
    SIGNED = "signed", _("Prescription signed")
    RECEIVED = "received", _("Received at the laboratory")
    STARTED = "started", _("Stage started")
    FINISHED = "finished", _("Stage finished")
    HELD = "held", pgettext_lazy("what was done", "Put on hold")
    RESUMED = "resumed", _("Taken up again")
    SENT_BACK = "sent_back", _("Sent back")
    SKIPPED = "skipped", _("Stage skipped")
    HANDED_OVER = "handed_over", _("Handed to the clinic")
    ARRIVED = "arrived", _("Arrived at the clinic")
    ASSIGNED = "assigned", _("Given to a person")
    DATED = "dated", _("Date set")
    STEP_TICKED = "step_ticked", _("Step ticked")
    STEP_UNTICKED = "step_unticked", _("Tick taken back")
    READING = "reading", _("Figure recorded")
    CORRECTION = "correction", _("Figure corrected")
    PRESCRIBED = "prescribed", _("Dimension prescribed")
    SPECIFIED = "specified", _("Specification issued")
    TICKET = "ticket", _("Work ticket issued")
    CANCELLED = "cancelled", _("Case cancelled")
    UNDONE = "undone", _("Taken back at once")
    ATTACHED = "attached", _("File added")
    ATTACHMENT_REMOVED = "attachment_removed", _("File removed")
    NOTE = "note", _("Note")
    ERASED = "erased", _("Patient’s data erased")


# What a practice is told of the way; who ticked which step is the laboratory's own matter.
TOLD_TO_THE_PRACTICE = (
    Act.OPENED,
    Act.PRESCRIPTION_CHANGED,
    Act.SIGNED,
    Act.RECEIVED,
    Act.FINISHED,
    Act.HELD,
    Act.RESUMED,
    Act.SENT_BACK,
    Act.SKIPPED,
    Act.HANDED_OVER,
    Act.ARRIVED,
    Act.DATED,
    Act.CORRECTION,
    Act.PRESCRIBED,
    Act.CANCELLED,
    Act.UNDONE,
    Act.ATTACHED,
    Act.ATTACHMENT_REMOVED,
    Act.NOTE,
    Act.ERASED,
)


# What may concern people outside the laboratory, who are not looking at its pages.
TOLD_OUTSIDE = frozenset({Act.OPENED, Act.PRESCRIPTION_CHANGED, Act.RECEIVED, Act.HELD, Act.HANDED_OVER})


class Decision(models.TextChoices):
    """Why an open case waits for the office, the most pressing first."""

    LATE = "late", _("Late")
    OVERDUE = "overdue", _("Out at the clinic, nothing heard")
    UNSIGNED = "unsigned", _("Changed and not signed again")
    CAME_BACK = "came_back", _("Came back")
    INCOMPLETE = "incomplete", _("Prescription incomplete")
    UNDATED = "undated", _("No day to be ready by")
    UNASSIGNED = "unassigned", _("Nobody has it yet")
    TO_RECEIVE = "to_receive", _("On its way here")
    TO_HAND_OVER = "to_hand_over", _("Ready for the clinic")
    SOON = "soon", _("Due soon")


class DayOrder(models.TextChoices):
    DAY_FIRST = "day_first", _("Day first: 30/11/2026")
    MONTH_FIRST = "month_first", _("Month first: 11/30/2026")


class ImportState(models.TextChoices):
    MAPPING = "mapping", _("Its columns are to be named")
    CHECKING = "checking", _("Being checked")
    CHECKED = "checked", _("Checked, nothing taken in yet")
    TAKING = "taking", _("Being taken in")
    DONE = "done", _("Taken in")


IMPORTS_AT_WORK = (ImportState.CHECKING, ImportState.TAKING)


class LineState(models.TextChoices):
    WAITING = "waiting", _("Not checked yet")
    READY = "ready", pgettext_lazy("row of a file", "Ready")
    UNUSUAL = "unusual", _("Has an unusual figure")
    KNOWN = "known", _("Here already")
    FAULTY = "faulty", _("To be put right")
    TAKEN = "taken", _("Taken in")
