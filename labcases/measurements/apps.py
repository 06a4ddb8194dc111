from django.apps import AppConfig


class MeasurementsConfig(AppConfig):
    name = "labcases.measurements"
