"""An owner's page: everything that is theirs, their name and addresses put right, and what went astray sent again."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.book.corrections import OF_PARTY
from jobs.book.models import Party
from jobs.book.refusals import Fault, Refused
from jobs.register.owner_reads import find_party, owner_page
from jobs.register.presses import fault_of, filled, seen, status_of, wanted
from jobs.updates.again import astray, correct_owner, send_again, send_astray
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile
from shop.typed import whole


def _party_or_404(pk: int) -> Party:
    found = find_party(pk)
    if found is None:
        raise Http404
    return found


def _answer(request: HttpRequest, party: Party, *, fault: Fault | None = None, status: int = 200) -> HttpResponse:
    shop = profile()
    page = owner_page(party, person_of(request), shop=shop, at=timezone.now())
    held = fault or Fault()
    context = {"page": page, "party": party, "fields": filled(page.facts, held), "fault": held, "shop": shop}
    return render(request, "register/owner.html", context, status=status)


@require_GET
@opens(Act.SEE_OWNER)
def owner(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything about one owner: a person or an organisation."""
    return _answer(request, _party_or_404(pk))


@require_POST
@opens(Act.CORRECT_OWNER)
def right(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a name, e-mail, telephone or address right."""
    party = _party_or_404(pk)
    try:
        made = correct_owner(
            party.pk,
            wanted(request, OF_PARTY),
            seen=seen(request, OF_PARTY),
            by=person_of(request),
            at=timezone.now(),
            region=profile().region,
        )
    except Refused as refusal:
        return _answer(request, _party_or_404(pk), fault=fault_of("facts", refusal, request), status=status_of(refusal))
    if made:
        messages.success(
            request, f"Put right: {', '.join(one.get_what_display() for one in made)}. Both values are kept."
        )
    return redirect("register:owner", pk=pk)


@require_POST
@opens(Act.SEND_AGAIN)
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """Send again what went to an address that was wrong: one letter, or all of them."""
    party, person, now = _party_or_404(pk), person_of(request), timezone.now()
    try:
        one = whole(request.POST.get("letter", ""))
        if one:
            letter = astray(party, at=now).filter(pk=one).first()
            if letter is None:
                raise Refused("This letter was sent again already. Look at the list again.")
            send_again(letter, by=person, at=now)
            count = 1
        else:
            count = send_astray(party, by=person, at=now)
    except Refused as refusal:
        return _answer(
            request, _party_or_404(pk), fault=fault_of("astray", refusal, request), status=status_of(refusal)
        )
    if count:
        words = "1 letter goes" if count == 1 else f"{count} letters go"
        messages.success(request, f"{words} to {party.email}. The links in the first ones are dead.")
    return redirect("register:owner", pk=pk)
