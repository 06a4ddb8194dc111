from django.apps import AppConfig


class AttachmentsConfig(AppConfig):
    name = "labcases.attachments"
