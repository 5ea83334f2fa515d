"""Takes NUL out of what browsers send: PostgreSQL cannot keep it, no paper can print it, and no page looks for it itself."""

from collections.abc import Callable

from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.http.request import UnreadablePostError

NUL = "\x00"


def _without_nul(sent: QueryDict) -> QueryDict:
    if not any(NUL in text for name, values in sent.lists() for text in (name, *map(str, values))):
        return sent
    kept = QueryDict(mutable=True, encoding=sent.encoding)
    for name, values in sent.lists():
        kept.setlist(name.replace(NUL, ""), [str(value).replace(NUL, "") for value in values])
    kept._mutable = False
    return kept


class NulMiddleware:
    """Typed words lose it and stay otherwise as they were; an address or a cookie that holds one is nobody's."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.COOKIES = {name: value for name, value in request.COOKIES.items() if NUL not in value}
        request.GET = _without_nul(request.GET)  # type: ignore[assignment]
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_view: object) -> None:
        """Before any view, once the address is known to be one of ours."""
        if NUL in request.path_info:
            raise Http404
        if request.method == "POST":
            try:
                request.POST = _without_nul(request.POST)  # type: ignore[assignment]
            except UnreadablePostError:
                return  # whoever sent it is gone; what reads it next says so
