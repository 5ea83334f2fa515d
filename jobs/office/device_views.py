"""Kiosks and bench devices: which there are, when each was last seen, and stopping one."""

from django.contrib import messages
from django.contrib.auth import logout
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.book.refusals import Refused, Stale
from jobs.office import device_steps
from jobs.office.changes import changes_of
from jobs.office.doors import in_room
from shop.people.doors import opens, person_of
from shop.people.kiosk import give_cookie
from shop.people.models import Device
from shop.people.roles import Act
from shop.profile.reads import profile


@require_GET
@opens(Act.KIOSK)
def devices(request: HttpRequest) -> HttpResponse:
    """Every device that is registered, and those stopped."""
    return _page(request)


@require_http_methods(["GET", "POST"])
@opens(Act.KIOSK)
def register(request: HttpRequest) -> HttpResponse:
    """Make the device that shows this page a kiosk or a bench device."""
    fault = ""
    if request.method == "POST":
        name, kind = request.POST.get("name", ""), request.POST.get("kind", "kiosk")
        try:
            device, token = device_steps.register(name, kind, by=person_of(request), at=timezone.now())
        except Refused as refusal:
            fault = refusal.words
        else:
            if device.kind == "kiosk":
                logout(request)
                return give_cookie(redirect("kiosk:home"), token, secure=request.is_secure())
            messages.success(request, f"This is “{device.name}” now. What is done here names it.")
            return give_cookie(redirect("office:devices"), token, secure=request.is_secure())
    page = {"fault": fault, "sent": request.POST}
    return in_room(request, "devices", "office/device_register.html", page, status=422 if fault else 200)


@require_POST
@opens(Act.KIOSK)
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Rename or stop a device: the pressed button says which."""
    device = Device.objects.filter(pk=pk).first()
    if device is None:
        raise Http404
    by, now = person_of(request), timezone.now()
    try:
        if request.POST.get("do") == "stop":
            device_steps.stop(device, by=by, at=now)
            messages.success(request, f"“{device.name}” is stopped. It opens nothing any more.")
        elif device_steps.rename(
            device, request.POST.get("name", ""), seen=request.POST.get("seen", ""), by=by, at=now
        ):
            messages.success(request, "The new name is kept.")
    except Stale as stale:
        return _page(request, fault=stale.words, status=409)
    except Refused as refusal:
        return _page(request, fault=refusal.words, status=422)
    return redirect("office:devices")


def _page(request: HttpRequest, *, fault: str = "", status: int = 200) -> HttpResponse:
    every = list(Device.objects.select_related("registered_by", "dead_by").order_by("name", "pk"))
    page = {
        "live": [one for one in every if one.dead_at is None],
        "dead": sorted((one for one in every if one.dead_at), key=lambda one: one.pk, reverse=True)[:12],
        "here": getattr(request, "bench_device", None),
        "fault": fault,
        "changes": changes_of(device_steps.ACTIONS, profile(), at=timezone.now()),
    }
    return in_room(request, "devices", "office/devices.html", page, status=status)
