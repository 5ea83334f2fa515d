"""Who brings it in, whose it is, and the other parts people have in a visit."""

from functools import partial

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.book.kinds import PARTY_ROLES
from jobs.book.models import Party
from jobs.book.parties import find_parties
from jobs.book.refusals import Again, Refused, Stale
from jobs.intake import drafts, steps
from jobs.intake.doors import with_draft
from jobs.intake.edits import with_role
from jobs.intake.models import Draft
from jobs.intake.naming import name_party
from jobs.intake.pages import step_page
from jobs.intake.views import version_of
from shop.people.doors import opens, person_of
from shop.people.roles import Act
from shop.profile.reads import profile
from shop.typed import whole

LEAST = 2


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def find(request: HttpRequest, row: Draft) -> HttpResponseBase:
    """People whose name, telephone or e-mail holds what is typed. Sent by post, so no name stays in the address."""
    sought, role = request.POST.get("sought", "").strip()[:160], _role(request)
    found = find_parties(sought, region=profile().region)
    if request.headers.get("HX-Request"):
        page = {"row": row, "found": found, "role": role, "sought": sought, "version": version_of(request)}
        return render(request, "intake/_found.html", page)
    return step_page(request, row, _at(row, role), found=found, role=role, role_words=PARTY_ROLES[role], sought=sought)


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def choose(request: HttpRequest, row: Draft) -> HttpResponseBase:
    """Give a part to someone in the book, or let it fall to its usual holder."""
    role, said = _role(request), request.POST.get("party", "")
    party = Party.objects.filter(pk=whole(said)).first()
    if said and party is None:
        return step_page(request, row, _at(row, role), fault="That person is not in the book. Look again.", status=422)
    change = partial(with_role, role=role, party=party.pk if party else None)
    try:
        steps.save(row, change, seen=version_of(request), by=person_of(request), at=timezone.now())
    except Refused as refusal:
        row.refresh_from_db()
        return step_page(
            request,
            row,
            _at(row, role),
            fault=refusal.words,
            status=409 if isinstance(refusal, Stale) else 422,
            role=role,
        )
    return redirect("intake:step", row.key, _at(row, role))


@require_POST
@opens(Act.TAKE_IN)
@with_draft()
def party(request: HttpRequest, row: Draft) -> HttpResponse:
    """Write someone down and give them a part; someone with this telephone or e-mail is shown instead of written twice."""
    role = _role(request)
    typed = {name: request.POST.get(name, "") for name in ("name", "phone", "email", "address", "body", "minor")}
    try:
        name_party(
            row,
            role=role,
            name=drafts.tidy(typed["name"]),
            phone=typed["phone"],
            email=typed["email"],
            address=drafts.tidy(typed["address"]),
            body=bool(typed["body"]),
            minor=bool(typed["minor"]),
            seen=version_of(request),
            by=person_of(request),
            at=timezone.now(),
            key=request.POST.get("key", ""),
        )
    except Again:
        pass
    except Refused as refusal:
        row.refresh_from_db()
        known = refusal.args[1] if len(refusal.args) > 1 else None
        return step_page(
            request,
            row,
            _at(row, role),
            fault=refusal.words,
            status=409 if isinstance(refusal, Stale) else 422,
            role=role,
            role_words=PARTY_ROLES[role],
            typed=typed,
            found=[known] if known is not None else None,
        )
    return redirect("intake:step", row.key, _at(row, role))


def _at(row: Draft, role: str) -> str:
    """Who brings price-list work is said on its one page; everything else about people on the page for it."""
    return "counter" if role == "depositor" and drafts.from_json(row.data).from_list else "who"


def _role(request: HttpRequest) -> str:
    role = request.POST.get("role", "")
    return role if role in drafts.ROLES else "depositor"
