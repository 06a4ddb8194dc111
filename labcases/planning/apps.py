from django.apps import AppConfig


class PlanningConfig(AppConfig):
    name = "labcases.planning"
