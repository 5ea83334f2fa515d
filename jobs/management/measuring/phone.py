"""One bench phone: scans a tag and presses a move, over one kept connection, as its browser would. Knows no database."""

import http.client
import re
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from random import Random
from urllib.parse import urlencode

GIVEN_UP = 30.0  # seconds without an answer
_FORM = re.compile(
    r'<form method="post" action="(?P<action>/bench/[^"]+/move/)"(?: class="tool")?>'
    r'<input type="hidden" name="csrfmiddlewaretoken" value="(?P<csrfmiddlewaretoken>[^"]+)">'
    r'<input type="hidden" name="key" value="(?P<key>[^"]+)"><input type="hidden" name="seen" value="(?P<seen>\d+)">'
    r'(?:(?!</form>).)*?<button class="btn(?: go)?" name="to" value="(?P<to>BEN|CUR)">',
    re.DOTALL,
)
_TO_REST = {"rest": "open", "rest_what": "glue"}  # how long is not known yet, so that it may go on at once


@dataclass
class Kept:
    """What a phone saw: seconds of every answer, keys that were said to be done, and what went wrong, in words."""

    seconds: list[float] = field(default_factory=list)
    moved: set[str] = field(default_factory=set)
    told_later: int = 0  # somebody else was first
    wrong: list[str] = field(default_factory=list)


class Phone:
    """A signed-in phone at loopback port `port`."""

    def __init__(self, port: int, session: str) -> None:
        self.kept = Kept()
        self._line = http.client.HTTPConnection("127.0.0.1", port, timeout=GIVEN_UP)
        self._cookies = {"sessionid": session}

    def work(self, tags: list[str], *, until: float, chance: Random) -> None:
        """Scan one of the tags and move its job about once a second; every fifth button is pressed twice."""
        turn = 0
        time.sleep(chance.random())
        while time.monotonic() < until:
            started = time.monotonic()
            try:
                self._scan_and_move(chance.choice(tags), twice=turn % 5 == 4)
            except (OSError, http.client.HTTPException) as fault:
                self.kept.wrong.append(f"{type(fault).__name__}: {fault}")
                self._line.close()
            turn += 1
            time.sleep(max(0.0, started + chance.uniform(0.8, 1.2) - time.monotonic()))
        self._line.close()

    def _scan_and_move(self, tag: str, *, twice: bool) -> None:
        status, page = self._ask("GET", f"/T/{tag}")
        form = _FORM.search(page)
        if status != http.HTTPStatus.OK or form is None:
            self.kept.wrong.append(f"a scan answered {status}" + ("" if form else " without a move to press"))
            return
        fields = form.groupdict()
        action = fields.pop("action")
        if fields["to"] == "CUR":
            fields |= _TO_REST
        for _ in range(2 if twice else 1):
            status, _page = self._ask("POST", action, fields)
            if status == http.HTTPStatus.FOUND:
                self.kept.moved.add(fields["key"])
                self._look(action.removesuffix("move/"))
            elif status == http.HTTPStatus.CONFLICT:
                self.kept.told_later += 1
            else:
                self.kept.wrong.append(f"a move answered {status}")

    def _look(self, address: str) -> None:
        """The page that a browser opens by itself after a press."""
        status, _ = self._ask("GET", address)
        if status != http.HTTPStatus.OK:
            self.kept.wrong.append(f"the page after a move answered {status}")

    def _ask(self, method: str, address: str, fields: Mapping[str, str] | None = None) -> tuple[int, str]:
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self._cookies.items())}
        if fields is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        started = time.monotonic()
        self._line.request(method, address, urlencode(fields) if fields is not None else None, headers)
        answer = self._line.getresponse()
        body = answer.read().decode()
        self.kept.seconds.append(time.monotonic() - started)
        for line in answer.headers.get_all("Set-Cookie", []):
            name, _, rest = line.partition("=")
            self._cookies[name] = rest.partition(";")[0]
        return answer.status, body
