"""The processes a shop is made of, and the environment they see."""

import http.client
import json
import os
import ssl
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from shop.starting.supervisor import Part

ROOT = Path(__file__).resolve().parents[2]
WORKER = ("celery", "--app", "shop.celery", "worker", "--pool", "threads", "--loglevel", "WARNING")
QUIET = ("--without-gossip", "--without-mingle", "--without-heartbeat")  # our heartbeat is a database row

# what `prepare` ends with
READY = 0
FAULT = 1
NOT_OPENED = 3  # a real shop with answers wanting
REFUSED = 4  # it will not do as it is; why has been said


@dataclass(frozen=True, slots=True)
class Listening:
    """Where the site listens. `certificate` and `key` are files, both or neither."""

    host: str
    port: int
    certificate: Path | None = None
    key: Path | None = None


def web(where: Listening, *, processes: int, threads: int) -> Part:
    """The site. Few threads: on SQLite one process of eight answered forty writers where two of twenty did not."""
    tls: tuple[str, ...] = ()
    if where.certificate and where.key:
        tls = ("--ssl-certificate", str(where.certificate), "--ssl-keyfile", str(where.key))
    return Part(
        "web",
        (
            *("granian", "--interface", "wsgi", "--host", where.host, "--port", str(where.port), *tls),
            *("--workers", str(processes), "--blocking-threads", str(threads)),
            *("--workers-kill-timeout", "5", "--log-level", "warning", "shop.wsgi:application"),
        ),
    )


def trust(where: Listening) -> Part:
    """The one page that is served without https: how a device learns to trust the shop's own certificate."""
    return Part(
        "trust",
        (
            *("granian", "--interface", "wsgi", "--host", where.host, "--port", str(where.port)),
            *("--workers", "1", "--blocking-threads", "2", "--workers-kill-timeout", "5"),
            *("--log-level", "warning", "shop.starting.trust:application"),
        ),
    )


def worker() -> Part:
    """The worker for photos, papers and everything but messages."""
    return Part("worker", (*WORKER, "--queues", "shop", "--hostname", "shop@%h", "--concurrency", "2", *QUIET))


def messages() -> Part:
    """The worker that sends messages, so that none waits behind a photo."""
    return Part(
        "messages", (*WORKER, "--queues", "messages", "--hostname", "messages@%h", "--concurrency", "2", *QUIET)
    )


def beat() -> Part:
    """The clock that sends the sweeps off."""
    return Part("beat", ("celery", "--app", "shop.celery", "beat", "--loglevel", "WARNING"))


def sink(folder: Path, listener: int) -> Part:
    """The sample shop's mail sink on an open socket, given as a file number."""
    return Part("letters", ("shop.starting.sink", str(folder), str(listener)), files=(listener,))


def environment(home: Path, public_address: str, **more: str) -> dict[str, str]:
    """What the parts see: ours, with the shop's home and address."""
    return {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "PYTHONUNBUFFERED": "1",
        "SHOP_HOME": str(home),
        "SHOP_PUBLIC_ADDRESS": public_address,
        **more,
    }


def missing(where: Listening, host_header: str, *, web_only: bool = False) -> str:
    """Ask /healthz what is still missing: "" when nothing, else words. `web_only`: the workers are elsewhere."""
    try:
        code, body = _get(where, host_header)
    except (OSError, http.client.HTTPException):
        return "web does not answer"
    if code == http.HTTPStatus.OK:
        return ""
    try:
        found: Mapping[str, str] = json.loads(body)
    except ValueError:
        return f"web answers {code}"
    away = {"worker"} if web_only else set()
    return ", ".join(f"{name}: {words}" for name, words in found.items() if words != "ok" and name not in away)


def _get(where: Listening, host_header: str) -> tuple[int, bytes]:
    host = {"0.0.0.0": "127.0.0.1", "::": "::1", "": "127.0.0.1"}.get(where.host, where.host)
    connection: http.client.HTTPConnection
    if where.certificate:
        # our own process, asked by number: its certificate carries the public name
        context = ssl.create_default_context()
        context.check_hostname = False
        context.verify_mode = ssl.CERT_NONE
        connection = http.client.HTTPSConnection(host, where.port, timeout=10, context=context)
    else:
        connection = http.client.HTTPConnection(host, where.port, timeout=10)
    try:
        connection.request("GET", "/healthz", headers={"Host": host_header})
        answer = connection.getresponse()
        return answer.status, answer.read()
    finally:
        connection.close()
