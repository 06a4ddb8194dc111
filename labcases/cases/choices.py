"""The words of a case. Stage and cause keys are stored; the labels are what people read."""

from django.db import models


class Place(models.TextChoices):
    CLINIC = "clinic", "Clinic"
    LABORATORY = "laboratory", "Laboratory"


class Arches(models.TextChoices):
    BOTH = "both", "Both arches"
    MAXILLARY = "maxillary", "Maxillary only"
    MANDIBULAR = "mandibular", "Mandibular only"

    @property
    def each(self) -> tuple[str, ...]:
        """The arches treated, upper first."""
        return ("maxillary", "mandibular") if self == Arches.BOTH else (self.value,)


class CaseKind(models.TextChoices):
    COMPLETE = "complete", "Complete denture"
    IMMEDIATE = "immediate", "Immediate denture"
    COPY = "copy", "Copy denture"
    RELINE = "reline", "Reline"


class StageKind(models.TextChoices):
    PRELIMINARY_IMPRESSIONS = "preliminary_impressions", "Preliminary impressions"
    CUSTOM_TRAY = "custom_tray", "Custom tray"
    DEFINITIVE_IMPRESSIONS = "definitive_impressions", "Definitive impressions"
    MASTER_CAST = "master_cast", "Master cast"
    RECORD_BASE = "record_base", "Record base"
    OCCLUSION_RIMS = "occlusion_rims", "Occlusion rims"
    JAW_RELATION = "jaw_relation", "Jaw relation record"
    TOOTH_ARRANGEMENT = "tooth_arrangement", "Tooth arrangement"
    TRY_IN = "try_in", "Try-in"
    PROCESSING = "processing", "Processing and finishing"
    INSERTION = "insertion", "Insertion"
    RELINE_IMPRESSION = "reline_impression", "Reline impression"
    RELINE = "reline", "Reline"
    COPY_IMPRESSION = "copy_impression", "Copy impression of the denture worn"
    COPY_TEMPLATE = "copy_template", "Copy template"
    REPAIR = "repair", "Repair"

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
    WAITING = "waiting", "Waiting"
    IN_PROGRESS = "in_progress", "In progress"
    ON_HOLD = "on_hold", "On hold"
    DONE = "done", "Done"
    RETURNED = "returned", "Sent back"
    SKIPPED = "skipped", "Not needed here"


OPEN_STATES = (StageState.WAITING, StageState.IN_PROGRESS, StageState.ON_HOLD)
WORK_STATES = (StageState.IN_PROGRESS, StageState.ON_HOLD)


class CaseState(models.TextChoices):
    INCOMPLETE = "incomplete", "Prescription incomplete"
    OPEN = "open", "Open"
    COMPLETE = "complete", "Complete"
    CANCELLED = "cancelled", "Cancelled"


STILL_OPEN = (CaseState.OPEN, CaseState.INCOMPLETE)


class Location(models.TextChoices):
    CLINIC = "clinic", "At the clinic"
    TO_LABORATORY = "to_laboratory", "On its way to the laboratory"
    LABORATORY = "laboratory", "At the laboratory"
    TO_CLINIC = "to_clinic", "On its way to the clinic"


class Sex(models.TextChoices):
    FEMALE = "female", "Female"
    MALE = "male", "Male"


class ImpressionMaterial(models.TextChoices):
    ZINC_OXIDE_EUGENOL = "zinc_oxide_eugenol", "Zinc oxide–eugenol paste"
    ALGINATE = "alginate", "Alginate"
    SILICONE = "silicone", "Silicone"
    POLYSULFIDE = "polysulfide", "Polysulfide"
    POLYETHER = "polyether", "Polyether"
    PLASTER = "plaster", "Impression plaster"


class ReturnCause(models.TextChoices):
    """Why work comes back (common practice, no source)."""

    IMPRESSION = "impression", "Impression defect"
    CAST = "cast", "Cast defect"
    TRAY_LONG = "tray_long", "Tray overextended"
    BASE_UNSTABLE = "base_unstable", "Base unstable"
    RIM_HEIGHT = "rim_height", "Rim too high or too low"
    PLANE = "plane", "Plane canted"
    MIDLINE = "midline", "Midline off"
    VERTICAL_DIMENSION = "vertical_dimension", "Vertical dimension"
    CENTRIC_RELATION = "centric_relation", "Centric relation error"
    MOULD_SHADE = "mould_shade", "Mould or shade"
    APPEARANCE = "appearance", "Appearance of the arrangement"
    BALANCE = "balance", "Occlusal balance"
    POROSITY = "porosity", "Porosity"
    FRACTURE = "fracture", "Fracture"
    PIN_OPENING = "pin_opening", "Pin opening after processing"
    WRONG_PATIENT = "wrong_patient", "Wrong patient or paper incomplete"
    LATE = "late", "Came late"
    OTHER = "other", "Other, see the note"


class Act(models.TextChoices):
    """What happened, in the log's words."""

    OPENED = "opened", "Case opened"
    PRESCRIPTION_CHANGED = "prescription_changed", "Prescription changed"
    SIGNED = "signed", "Prescription signed"
    RECEIVED = "received", "Received at the laboratory"
    STARTED = "started", "Stage started"
    FINISHED = "finished", "Stage finished"
    HELD = "held", "Put on hold"
    RESUMED = "resumed", "Taken up again"
    SENT_BACK = "sent_back", "Sent back"
    SKIPPED = "skipped", "Stage skipped"
    HANDED_OVER = "handed_over", "Handed to the clinic"
    ARRIVED = "arrived", "Arrived at the clinic"
    ASSIGNED = "assigned", "Given to a person"
    DATED = "dated", "Date set"
    STEP_TICKED = "step_ticked", "Step ticked"
    STEP_UNTICKED = "step_unticked", "Tick taken back"
    READING = "reading", "Figure recorded"
    CORRECTION = "correction", "Figure corrected"
    PRESCRIBED = "prescribed", "Dimension prescribed"
    SPECIFIED = "specified", "Specification issued"
    TICKET = "ticket", "Work ticket issued"
    CANCELLED = "cancelled", "Case cancelled"
    UNDONE = "undone", "Taken back at once"
    ATTACHED = "attached", "File added"
    ATTACHMENT_REMOVED = "attachment_removed", "File removed"
    NOTE = "note", "Note"
    ERASED = "erased", "Patient’s data erased"


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

    LATE = "late", "Late"
    OVERDUE = "overdue", "Out at the clinic, nothing heard"
    UNSIGNED = "unsigned", "Changed and not signed again"
    CAME_BACK = "came_back", "Came back"
    INCOMPLETE = "incomplete", "Prescription incomplete"
    UNDATED = "undated", "No day to be ready by"
    UNASSIGNED = "unassigned", "Nobody has it yet"
    TO_RECEIVE = "to_receive", "On its way here"
    TO_HAND_OVER = "to_hand_over", "Ready for the clinic"
    SOON = "soon", "Due soon"


class DayOrder(models.TextChoices):
    DAY_FIRST = "day_first", "Day first: 30/11/2026"
    MONTH_FIRST = "month_first", "Month first: 11/30/2026"


class ImportState(models.TextChoices):
    MAPPING = "mapping", "Its columns are to be named"
    CHECKING = "checking", "Being checked"
    CHECKED = "checked", "Checked, nothing taken in yet"
    TAKING = "taking", "Being taken in"
    DONE = "done", "Taken in"


IMPORTS_AT_WORK = (ImportState.CHECKING, ImportState.TAKING)


class LineState(models.TextChoices):
    WAITING = "waiting", "Not checked yet"
    READY = "ready", "Ready"
    UNUSUAL = "unusual", "Has an unusual figure"
    KNOWN = "known", "Here already"
    FAULTY = "faulty", "To be put right"
    TAKEN = "taken", "Taken in"
