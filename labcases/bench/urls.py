from django.urls import path

from labcases.bench.views.batch import batch, batch_do
from labcases.bench.views.cases import case, hand_over, receive
from labcases.bench.views.corrections import correct
from labcases.bench.views.moves import finish, resume, send_back, start
from labcases.bench.views.papers import ticket
from labcases.bench.views.saving import draft_of_sheet, hold, record, tick_all
from labcases.bench.views.sheet import sheet
from labcases.bench.views.steps import tick
from labcases.bench.views.undoing import undo
from labcases.bench.views.work import work

app_name = "bench"

urlpatterns = [
    path("work", work, name="work"),
    path("batch", batch, name="batch"),
    path("batch/do", batch_do, name="batch_do"),
    path("stages/<int:pk>", sheet, name="sheet"),
    path("stages/<int:pk>/start", start, name="start"),
    path("stages/<int:pk>/figures", record, name="record"),
    path("stages/<int:pk>/draft", draft_of_sheet, name="draft"),
    path("stages/<int:pk>/steps/<int:step>", tick, name="tick"),
    path("stages/<int:pk>/steps/all", tick_all, name="tick_all"),
    path("stages/<int:pk>/hold", hold, name="hold"),
    path("stages/<int:pk>/resume", resume, name="resume"),
    path("stages/<int:pk>/undo", undo, name="undo"),
    path("stages/<int:pk>/finish", finish, name="finish"),
    path("stages/<int:pk>/send-back", send_back, name="send_back"),
    path("stages/<int:pk>/ticket", ticket, name="ticket"),
    path("readings/<int:pk>/correct", correct, name="correct"),
    path("cases/<str:number>", case, name="case"),
    path("cases/<str:number>/receive", receive, name="receive"),
    path("cases/<str:number>/hand-over", hand_over, name="hand_over"),
]
