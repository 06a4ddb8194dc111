"""The devices that several people share at the bench."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from labcases.pages.answers import once, page
from labcases.pages.gates import for_managers
from labcases.people.actions.bench_devices import revoke_bench_device
from labcases.people.queries import bench_device_by_id, bench_devices


@require_safe
@for_managers
def devices(request: HttpRequest) -> HttpResponse:
    return page(request, "office/devices.html", {"devices": bench_devices()})


@require_POST
@for_managers
def revoke_device(request: HttpRequest, pk: int) -> HttpResponse:
    device = bench_device_by_id(pk)
    if device is None:
        raise Http404

    def act() -> str:
        revoke_bench_device(device, by=request.user, now=timezone.now())
        messages.success(
            request, _("{device} is revoked; everybody is signed out there.").format(device=device.name)
        )
        return reverse("office:devices")

    return once(request, act)
