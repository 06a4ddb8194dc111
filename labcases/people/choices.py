from django.db import models


class Role(models.TextChoices):
    MANAGER = "manager", "Lab manager"
    TECHNICIAN = "technician", "Technician"
    CLINICIAN = "clinician", "Clinician"
