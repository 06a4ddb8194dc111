from django.db import models


class Paper(models.TextChoices):
    A4 = "a4", "A4"
    LETTER = "letter", "US Letter"
