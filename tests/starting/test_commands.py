"""The commands as somebody types them, with every real part."""

import http.client
import json
import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from shop.starting.parts import ROOT
from tests.starting.test_opening import GIVEN

# four real processes, on a machine that may be busy
pytestmark = pytest.mark.timeout(400)


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return int(taken.getsockname()[1])


def environment(**more: str) -> dict[str, str]:
    """Nothing of the tests' own shop, database or broker."""
    ours = ("SHOP_", "SMTP_", "S3_", "DATABASE_URL", "REDIS_URL", "DJANGO_")
    return {name: value for name, value in os.environ.items() if not name.startswith(ours)} | more


@contextmanager
def manage(*words: str, **more: str) -> Iterator["subprocess.Popen[str]"]:
    """`manage.py` with nobody at the terminal, stopped at the end whatever happens."""
    with subprocess.Popen(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env=environment(**more),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as process:
        try:
            yield process
        finally:
            if process.poll() is None:
                process.send_signal(signal.SIGTERM)
                try:
                    process.wait(timeout=30)
                except subprocess.TimeoutExpired:
                    process.kill()


def said_until(process: "subprocess.Popen[str]", words: str) -> str:
    """What a command says up to a line with these words; fails when it ends before."""
    assert process.stdout is not None
    said = ""
    for line in process.stdout:
        said += line
        if words in line:
            return said
    pytest.fail(f"It ended without saying “{words}”:\n{said}")


def get(port: int, path: str) -> tuple[int, bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    with closing(connection):
        connection.request("GET", path)
        answer = connection.getresponse()
        return answer.status, answer.read()


def parts_of(supervisor: int) -> list[str]:
    """Every process started for a supervisor, by its command line."""
    found = []
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            words = path.read_bytes().replace(b"\0", b" ").decode(errors="replace")
        except OSError:
            continue
        if f"shop.starting.child {supervisor} " in words:
            found.append(words)
    return found


def test_serve_makes_the_shop_from_environment_variables_once_and_not_twice(tmp_path: Path) -> None:
    home, port = tmp_path / "shop", free_port()
    words = ("serve", "--home", str(home), "--port", str(port))
    with manage(*words, **GIVEN) as process:
        said = said_until(process, "Ctrl-C stops it")
        assert f"Ready: http://127.0.0.1:{port}" in said
        status, body = get(port, "/healthz")
        assert (status, json.loads(body)) == (200, {"web": "ok", "database": "ok", "worker": "ok"})
        assert len(parts_of(process.pid)) >= 4
        process.send_signal(signal.SIGINT)
        assert process.stdout is not None
        assert process.stdout.read().endswith("Stopping.\nAll stopped.\n")
        assert process.wait() == 0
        assert parts_of(process.pid) == []
    secret = (home / "secret.key").read_text()

    with manage(*words, **{**GIVEN, "SHOP_NAME": "Another", "SHOP_FIRST_USERNAME": "another"}) as process:
        said_until(process, "Ctrl-C stops it")
        assert get(port, "/sink/")[0] == 404  # the sample shop's alone

    with closing(sqlite3.connect(home / "shop.sqlite3")) as database:
        assert database.execute("SELECT name, currency FROM profile_profile").fetchall() == [
            ("Elderwick Strings", "EUR")
        ]
        assert database.execute("SELECT username FROM people_person").fetchall() == [("wilmot",)]
    assert (home / "secret.key").read_text() == secret
    assert (home / "secret.key").stat().st_mode & 0o077 == 0


def test_serve_with_nobody_to_ask_names_what_is_wanting(tmp_path: Path) -> None:
    with manage(
        "serve", "--home", str(tmp_path / "shop"), "--port", str(free_port()), SHOP_NAME="Elderwick"
    ) as process:
        said, _ = process.communicate()
    assert process.returncode == 1
    assert "nobody is here to ask" in said
    wanting, _, others = said.partition("If need be")
    assert re.findall(r"SHOP_\w+", wanting) == [
        "SHOP_ADDRESS",
        "SHOP_FIRST_PERSON",
        "SHOP_FIRST_USERNAME",
        "SHOP_FIRST_PASSWORD",
    ]
    assert "SHOP_CURRENCY" in others
    assert "Traceback" not in said


def test_a_taken_port_is_said_before_anything_is_filled(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        with manage("demo", "--home", str(tmp_path / "demo"), "--port", str(port)) as process:
            said, _ = process.communicate()
    assert process.returncode == 1
    assert said.strip().startswith(f"Port {port} on 127.0.0.1 is taken by another program.")
    assert not (tmp_path / "demo" / "shop.sqlite3").exists()


def test_the_sample_shop_is_filled_once_and_its_letters_and_people_are_named(tmp_path: Path) -> None:
    home, port = tmp_path / "demo", free_port()
    words = ("demo", "--home", str(home), "--port", str(port), "--photos", "few")
    with manage(*words) as process:
        said = said_until(process, "Ctrl-C stops it")
        assert "Filling the sample shop" in said
        assert f"Ready: http://127.0.0.1:{port}" in said
        assert f"http://127.0.0.1:{port}/sink/" in said
        assert re.search(r"PIN \d+ +Ottilie Brackenshaw, head luthier", said)
        to_try = re.findall(rf"http://127\.0\.0\.1:{port}(/[oT]/\S+)", said)
        assert len(to_try) == 3
        assert [get(port, path)[0] for path in to_try] == [200, 200, 200]
        assert get(port, "/healthz")[0] == 200
        assert b"Letters kept here" in get(port, "/sink/")[1]
    assert process.returncode == 0
    with manage(*words) as process:
        assert "Filling" not in said_until(process, "Ctrl-C stops it")


def test_help_names_our_commands_before_the_framework_s() -> None:
    with manage("help") as process:
        said, _ = process.communicate()
    assert process.returncode == 0
    assert re.search(r"demo +fill a sample shop.*\n +serve +open a real shop\n(.*\n)* +test +run every test\n", said)
    assert "migrate" in said
