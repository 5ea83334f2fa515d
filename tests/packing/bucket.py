"""A bucket on loopback that speaks as much S3 as photos and papers need (from memory: PutObject, GetObject, ListObjectsV2)."""

from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import md5
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from urllib.parse import parse_qs, unquote, urlsplit
from xml.sax.saxutils import escape


class Bucket(ThreadingHTTPServer):
    """Holds objects by key, in memory."""

    objects: dict[str, bytes]


class _Answers(BaseHTTPRequestHandler):
    server: Bucket
    protocol_version = "HTTP/1.1"

    @property
    def key(self) -> str:
        return unquote(urlsplit(self.path).path).split("/", 2)[2] if self.path.count("/") > 1 else ""

    def do_PUT(self) -> None:
        if self.headers.get("Content-Encoding", "").startswith("aws-chunked"):
            self.server.objects[self.key] = self._chunks()
        else:
            self.server.objects[self.key] = self.rfile.read(int(self.headers["Content-Length"]))
        self._say(200, b"")

    def _chunks(self) -> bytes:
        """AWS's chunked form: sizes in hex, a trailer after the chunk of size 0."""
        data = b""
        while size := int(self.rfile.readline().split(b";")[0], 16):
            data += self.rfile.read(size)
            self.rfile.readline()
        while self.rfile.readline().strip():
            pass
        return data

    def do_HEAD(self) -> None:
        self.do_GET()

    def do_GET(self) -> None:
        query = parse_qs(urlsplit(self.path).query)
        if "list-type" in query or not self.key:
            self._list(query.get("prefix", [""])[0], query.get("delimiter", [""])[0])
        elif self.key in self.server.objects:
            self._say(200, self.server.objects[self.key])
        else:
            self._say(404, b"<Error><Code>NoSuchKey</Code></Error>")

    def _list(self, prefix: str, delimiter: str) -> None:
        found = [key[len(prefix) :] for key in sorted(self.server.objects) if key.startswith(prefix)]
        folders = sorted({key.split(delimiter)[0] for key in found if delimiter and delimiter in key})
        files = [key for key in found if not (delimiter and delimiter in key)]
        inner = "".join(f"<Contents><Key>{escape(prefix + key)}</Key></Contents>" for key in files)
        inner += "".join(
            f"<CommonPrefixes><Prefix>{escape(prefix + one)}/</Prefix></CommonPrefixes>" for one in folders
        )
        self._say(200, f"<ListBucketResult><IsTruncated>false</IsTruncated>{inner}</ListBucketResult>".encode())

    def _say(self, code: int, data: bytes) -> None:
        self.send_response(code)
        self.send_header("Content-Length", str(len(data)))
        self.send_header("ETag", f'"{md5(data, usedforsecurity=False).hexdigest()}"')
        self.send_header("Last-Modified", "Wed, 25 Nov 2026 10:00:00 GMT")
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(data)

    def log_message(self, *_words: object) -> None:
        """Say nothing."""


@contextmanager
def bucket() -> Iterator[tuple[str, dict[str, bytes]]]:
    """The address of an empty bucket's server, and what it holds."""
    with Bucket(("127.0.0.1", 0), _Answers) as server:
        server.objects = {}
        thread = Thread(target=server.serve_forever, daemon=True)
        thread.start()
        try:
            yield f"http://127.0.0.1:{server.server_address[1]}", server.objects
        finally:
            server.shutdown()
            thread.join()
