from django.urls import path

from labcases.pages import attachments, calculators, entering, feeds, health, own_sign_in, promises, views

urlpatterns = [
    path("", views.home, name="home"),
    path("healthz", health.alive, name="alive"),
    path("readyz", health.ready, name="ready"),
    path("sign-in", entering.SignIn.as_view(), name="sign_in"),
    path("sign-out", entering.SignOut.as_view(), name="sign_out"),
    path("password/<str:key>", entering.set_password, name="set_password"),
    path("your-sign-in", own_sign_in.own_sign_in, name="own_sign_in"),
    path("your-sign-in/confirm", own_sign_in.confirm, name="confirm"),
    path("your-sign-in/password", own_sign_in.own_password, name="own_password"),
    path("your-sign-in/sessions", own_sign_in.end_own_session, name="end_own_session"),
    path("still-here", own_sign_in.still_here, name="still_here"),
    path("scan", views.scan, name="scan"),
    path("T/<str:code>", views.ticket, name="ticket"),
    path("T/<str:code>/pdf", views.ticket_pdf, name="ticket_pdf"),
    path("calculators", calculators.calculators, name="calculators"),
    path("calculators/examples", calculators.examples, name="calculator_examples"),
    path("calculators/<str:name>", calculators.calculator, name="calculator"),
    path("promise", promises.promise, name="promise"),
    path("cases/<str:number>/promise", promises.case_promise, name="case_promise"),
    path("cases/<str:number>/files", attachments.attachments, name="attachments"),
    path("files/<int:pk>", attachments.attachment, name="attachment"),
    path("files/<int:pk>/whole", attachments.attachment_file, name="attachment_file"),
    path("files/<int:pk>/small", attachments.attachment_small, name="attachment_small"),
    path("files/<int:pk>/remove", attachments.attachment_remove, name="attachment_remove"),
    path("calendar", feeds.my_calendar, name="my_calendar"),
    path("calendar/<str:token>.ics", feeds.calendar_feed, name="calendar_feed"),
    path("display-guidance", views.display_guidance, name="display_guidance"),
]
