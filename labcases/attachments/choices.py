from django.db import models
from django.utils.translation import gettext_lazy as _


class Kind(models.TextChoices):
    PHOTOGRAPH = "photograph", _("Photograph")
    PAPER = "paper", _("PDF")
    CAST = "cast", _("Scan of a cast (STL)")


class View(models.TextChoices):
    """What a photograph shows, so that the same view of two visits can be laid side by side (common practice, no
    source)."""

    FRONT_AT_REST = "front_at_rest", _("Face from the front, lips at rest")
    FRONT_SMILING = "front_smiling", _("Face from the front, smiling")
    PROFILE = "profile", _("Face from the side")
    TEETH_FRONT = "teeth_front", _("Teeth or rims from the front")
    TEETH_RIGHT = "teeth_right", _("Teeth or rims from the patient’s right")
    TEETH_LEFT = "teeth_left", _("Teeth or rims from the patient’s left")
    MAXILLARY_OCCLUSAL = "maxillary_occlusal", _("Maxillary arch, occlusal")
    MANDIBULAR_OCCLUSAL = "mandibular_occlusal", _("Mandibular arch, occlusal")
    SHADE = "shade", _("Shade guide beside the teeth")
    WORKPIECE = "workpiece", _("Work on the bench: cast, base or denture")
    OTHER = "other", _("Something else")
