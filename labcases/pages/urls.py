from django.urls import path

from labcases.pages import views

urlpatterns = [
    path("", views.home, name="home"),
    path("sign-in", views.SignIn.as_view(), name="sign_in"),
    path("sign-out", views.SignOut.as_view(), name="sign_out"),
    path("scan", views.scan, name="scan"),
    path("display-guidance", views.display_guidance, name="display_guidance"),
]
