from django.urls import URLPattern

app_name = "clinic"

urlpatterns: list[URLPattern] = []
