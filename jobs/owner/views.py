"""The owner's pages. The secret in the address is the only key: no account, no cookie is asked for.

That is also why the forms here carry no CSRF token: nobody can forge a request to an address they do not know, and a
referrer policy that keeps the secret in would make browsers send the Origin that Django's check refuses.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from jobs.book.refusals import Again, Refused
from jobs.estimates.answers import Came, answer
from jobs.estimates.questions import ask as ask_question
from jobs.links.models import Link
from jobs.links.reads import Why, open_link
from jobs.links.steps import opened
from jobs.owner.reads import EstimatePage, estimate_page, my_roles, owner_page, papers_for
from jobs.papers.reads import DamagedFileError, file_name, read_pdf
from jobs.photos.reads import for_owner
from jobs.photos.serving import photo_response
from jobs.updates.steps import ask_fresh_link
from shop.profile.reads import profile

View = Callable[..., HttpResponseBase]
_HEADERS = {"X-Robots-Tag": "noindex, nofollow, noarchive", "Referrer-Policy": "no-referrer"}


def _kept_private(view: View) -> View:
    @wraps(view)
    def private(request: HttpRequest, token: str, **kwargs: Any) -> HttpResponseBase:
        response = view(request, token, **kwargs)
        for header, value in _HEADERS.items():
            response[header] = value
        return response

    return private


def _by_link(view: Callable[..., HttpResponseBase]) -> View:
    """Open a view by the link in its address, or say why it does not open."""

    @wraps(view)
    def guarded(request: HttpRequest, token: str, **kwargs: Any) -> HttpResponseBase:
        found = open_link(token, at=timezone.now())
        if found.why is not None or found.link is None:
            status = 404 if found.why is Why.NOT_OURS else 410
            return render(request, "owner/shut.html", {"why": found.why, "token": token}, status=status)
        return view(request, found.link, token=token, **kwargs)

    return _kept_private(guarded)


@require_safe
@_by_link
def page(request: HttpRequest, link: Link, token: str) -> HttpResponse:
    """How the job stands."""
    at, shop = timezone.now(), profile()
    opened(link, at=at)
    shown = owner_page(link, shop=shop, at=at)
    context = {"page": shown, "token": token, "asked": "asked" in request.GET, "shop": shop}
    return render(request, "owner/page.html", context)


@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
@_by_link
def ask(request: HttpRequest, link: Link, token: str) -> HttpResponse:
    """Ask a question."""
    fault, words = "", request.POST.get("words", "")
    if request.method == "POST":
        try:
            ask_question(link.job, party=link.party, words=words, at=timezone.now(), key=request.POST.get("key") or "-")
            return redirect(f"{_to('owner:page', token)}?asked")
        except Again:
            return redirect(f"{_to('owner:page', token)}?asked")
        except Refused as refusal:
            fault = refusal.words
    shown = {"token": token, "job": link.job, "words": words, "fault": fault}
    return render(request, "owner/ask.html", shown, status=422 if fault else 200)


@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
@_by_link
def estimate(request: HttpRequest, link: Link, token: str) -> HttpResponse:
    """Read the newest estimate and answer it. Nothing is answered by opening an address."""
    at = timezone.now()
    if request.method == "POST":
        return _answer(request, link, token)
    shown = estimate_page(link, shop=profile(), at=at)
    if shown is None:
        return render(request, "owner/no_estimate.html", {"token": token, "job": link.job})
    return _estimate(request, link, token, shown, chosen=request.GET.get("choose", ""))


def _estimate(
    request: HttpRequest, link: Link, token: str, shown: EstimatePage, *, chosen: str, fault: str = ""
) -> HttpResponse:
    option = shown.option(chosen)
    sure = shown.answerable and (option is not None or chosen == "none")
    context = {
        "page": shown,
        "token": token,
        "party": link.party,
        "option": option,
        "chosen": chosen,
        "fault": fault,
        "typed": request.POST,
    }
    template = "owner/estimate_sure.html" if sure else "owner/estimate.html"
    return render(request, template, context, status=422 if fault else 200)


def _answer(request: HttpRequest, link: Link, token: str) -> HttpResponse:
    shop, at, post = profile(), timezone.now(), request.POST
    shown = estimate_page(link, shop=shop, at=at)
    if shown is None:
        raise Http404
    chosen = post.get("option", "")
    try:
        read = link.job.estimates.exclude(state="draft").filter(pk=_number(post.get("estimate"))).first()
        if read is None:
            raise Refused("This page is out of date. Read the estimate again, then answer.")
        option = None if chosen == "none" else read.options.filter(letter=chosen).first()
        if option is None and chosen != "none":
            raise Refused("Choose one of the options, or none of them.")
        came = Came(
            how="link",
            name=post.get("name", ""),
            party=link.party,
            words=post.get("words", "")[:2000],
            begin_now=post.get("begin_now") == "yes",
        )
        answer(read, option=option, came=came, at=at, key=post.get("key") or "-")
    except Again:
        pass
    except Refused as refusal:
        # what was chosen in an older version says nothing about a newer one
        same = _number(post.get("estimate")) == shown.view.estimate.pk
        return _estimate(request, link, token, shown, chosen=chosen if same else "", fault=refusal.words)
    return redirect("owner:estimate", token=token)


@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
@_kept_private
def fresh(request: HttpRequest, token: str) -> HttpResponse:
    """Have a fresh link sent to the address on file. The page says the same whatever the token was."""
    if request.method == "POST":
        at = timezone.now()
        ask_fresh_link(open_link(token, at=at), at=at)
        return redirect("owner:fresh", token=token)
    return render(request, "owner/fresh.html", {"token": token})


@require_safe
@_by_link
def photo(request: HttpRequest, link: Link, token: str, pk: int, size: str) -> HttpResponseBase:
    """A photo chosen for the owner, in one of its made sizes: those hold nothing of where it was taken."""
    if size not in {"small", "large"}:
        raise Http404
    found = get_object_or_404(for_owner(link.job), pk=pk)
    return photo_response(found, size, at=timezone.now())


@require_safe
@_by_link
def paper(request: HttpRequest, link: Link, token: str, pk: int) -> HttpResponseBase:
    """A sealed paper of the link's own job."""
    found = next((one for one in papers_for(link, my_roles(link)) if one.pk == pk), None)
    if found is None:
        raise Http404
    try:
        pdf = read_pdf(found)
    except DamagedFileError:
        return render(request, "owner/paper_due.html", {"token": token}, status=404)
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{file_name(found)}"'
    return response


def _number(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 12 else 0


def _to(name: str, token: str) -> str:
    return reverse(name, args=[token])
