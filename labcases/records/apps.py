from django.apps import AppConfig


class RecordsConfig(AppConfig):
    name = "labcases.records"
