"""Own network: how phones and tablets come to trust the shop's computer, on the screen and as a sheet to hang up."""

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.office.doors import in_room
from jobs.office.network_reads import own_network
from jobs.papers.lettering import printable
from jobs.papers.texts import Json
from jobs.papers.typeset import set_in_type
from jobs.tags.symbols import symbol
from shop.people.doors import opens
from shop.people.roles import Act
from shop.profile.reads import profile
from shop.starting.trust_words import CAUTION, DEVICES, WHY


@require_GET
@opens(Act.SET_SHOP)
def network(request: HttpRequest) -> HttpResponse:
    """Where devices begin, the fingerprint to compare, and the steps."""
    found = own_network(timezone.now())
    shown = {
        "network": found,
        "public": settings.PUBLIC_ADDRESS,
        "secure": settings.PUBLIC_ADDRESS.startswith("https:"),
        "devices": [(one, [step.format(name=found.name) for step in one.steps]) for one in DEVICES] if found else [],
        "why": WHY,
        "caution": CAUTION,
        "section": "shop",
    }
    return in_room(request, "network", "office/network.html", shown)


@require_GET
@opens(Act.SET_SHOP)
def sheet(request: HttpRequest) -> HttpResponse:
    """The same on one sheet: address as a square code, fingerprint, steps."""
    at = timezone.now()
    found, shop = own_network(at), profile()
    if found is None or not found.trust:
        raise Http404("This shop has no authority of its own to trust.")
    square = symbol(found.trust)
    devices: list[Json] = [{"name": one.name, "steps": [step.format(name=found.name) for step in one.steps]} for one in DEVICES]  # fmt: skip
    words: dict[str, Json] = {
        "shop": shop.name,
        "page": shop.page,
        "trust": found.trust,
        "public": found.public,
        "name": found.name,
        "fingerprint": found.fingerprint,
        "why": WHY,
        "caution": CAUTION,
        "devices": devices,
    }
    runs: list[Json] = [[*run] for run in square.runs]
    given: dict[str, Json] = {"words": printable(words), "side": len(square.modules), "runs": runs}
    pdf = set_in_type("trust", given, at=at)
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = 'inline; filename="own-network.pdf"'
    return answer
