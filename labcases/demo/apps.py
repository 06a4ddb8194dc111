from django.apps import AppConfig


class DemoConfig(AppConfig):
    name = "labcases.demo"
