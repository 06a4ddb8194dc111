from django.urls import path

from labcases.clinic.views.case import case, case_log
from labcases.clinic.views.cases import cases, completed
from labcases.clinic.views.letters import letters
from labcases.clinic.views.moves import arrived, dates, send_back
from labcases.clinic.views.prescriptions import new_case, prescription, sign
from labcases.clinic.views.record import record
from labcases.clinic.views.whole_record import case_record, case_record_json, case_record_pdf

app_name = "clinic"

urlpatterns = [
    path("cases", cases, name="cases"),
    path("cases/new", new_case, name="new_case"),
    path("cases/completed", completed, name="completed"),
    path("cases/<str:number>", case, name="case"),
    path("cases/<str:number>/log", case_log, name="case_log"),
    path("cases/<str:number>/prescription", prescription, name="prescription"),
    path("cases/<str:number>/sign", sign, name="sign"),
    path("cases/<str:number>/dates", dates, name="dates"),
    path("cases/<str:number>/arrived", arrived, name="arrived"),
    path("cases/<str:number>/record", record, name="record"),
    path("cases/<str:number>/whole-record", case_record, name="case_record"),
    path("cases/<str:number>/whole-record.pdf", case_record_pdf, name="case_record_pdf"),
    path("cases/<str:number>/whole-record.json", case_record_json, name="case_record_json"),
    path("letters", letters, name="letters"),
    path("cases/<str:number>/send-back", send_back, name="send_back"),
]
