from django.db import models
from django.utils.translation import gettext_lazy as _


class Role(models.TextChoices):
    MANAGER = "manager", _("Lab manager")
    TECHNICIAN = "technician", _("Technician")
    CLINICIAN = "clinician", _("Clinician")
