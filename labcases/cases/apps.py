from django.apps import AppConfig


class CasesConfig(AppConfig):
    name = "labcases.cases"
