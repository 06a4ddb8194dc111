from django.apps import AppConfig


class PostConfig(AppConfig):
    name = "labcases.post"
