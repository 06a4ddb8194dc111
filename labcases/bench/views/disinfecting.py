"""What was done to disinfect work that came in; the agent used last and its label's time are proposed again."""

from django.http import HttpRequest

from labcases.pages.moving import ReceiveForm

LAST_USED = "disinfectant"


def receive_form(request: HttpRequest) -> ReceiveForm:
    typed = request.POST if request.method == "POST" else None
    return ReceiveForm(typed, initial=request.session.get(LAST_USED, {}))


def remember_disinfectant(request: HttpRequest, form: ReceiveForm) -> None:
    request.session[LAST_USED] = {name: form.cleaned_data[name] for name in ("agent", "minutes_required")}
