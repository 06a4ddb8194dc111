from django.apps import AppConfig


class PagesConfig(AppConfig):
    name = "labcases.pages"
