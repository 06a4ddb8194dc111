from django.apps import AppConfig


class OfficeConfig(AppConfig):
    name = "labcases.office"
