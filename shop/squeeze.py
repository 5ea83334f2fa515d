"""Compresses pages, and leaves alone what is compressed already."""

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

COMPRESSED = ("image/", "application/pdf", "application/zip")


class SqueezeMiddleware(GZipMiddleware):
    """Django's gzip, except for photos and papers, which keep their length."""

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        if str(response.get("Content-Type", "")).startswith(COMPRESSED):
            return response
        return super().process_response(request, response)
