from django.urls import include, path

urlpatterns = [
    path("", include("labcases.pages.urls")),
    path("office/", include("labcases.office.urls")),
    path("bench/", include("labcases.bench.urls")),
    path("clinic/", include("labcases.clinic.urls")),
]

handler400 = "labcases.pages.errors.bad_request"
handler403 = "labcases.pages.errors.forbidden"
handler404 = "labcases.pages.errors.not_found"
handler500 = "labcases.pages.errors.server_error"
