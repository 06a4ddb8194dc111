from django.db import models


class Kind(models.TextChoices):
    PHOTOGRAPH = "photograph", "Photograph"
    PAPER = "paper", "PDF"
    CAST = "cast", "Scan of a cast (STL)"


class View(models.TextChoices):
    """What a photograph shows, so that the same view of two visits can be laid side by side (common practice, no
    source)."""

    FRONT_AT_REST = "front_at_rest", "Face from the front, lips at rest"
    FRONT_SMILING = "front_smiling", "Face from the front, smiling"
    PROFILE = "profile", "Face from the side"
    TEETH_FRONT = "teeth_front", "Teeth or rims from the front"
    TEETH_RIGHT = "teeth_right", "Teeth or rims from the patient’s right"
    TEETH_LEFT = "teeth_left", "Teeth or rims from the patient’s left"
    MAXILLARY_OCCLUSAL = "maxillary_occlusal", "Maxillary arch, occlusal"
    MANDIBULAR_OCCLUSAL = "mandibular_occlusal", "Mandibular arch, occlusal"
    SHADE = "shade", "Shade guide beside the teeth"
    WORKPIECE = "workpiece", "Work on the bench: cast, base or denture"
    OTHER = "other", "Something else"
