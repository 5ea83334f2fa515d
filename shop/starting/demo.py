"""`manage.py demo`: a filled sample shop on this computer, with its letters kept instead of sent."""

import argparse
import json
import os
import socket
import tomllib
from datetime import UTC, datetime
from pathlib import Path

from shop.people.roles import ROLE_WORDS, Role
from shop.starting import home as homes
from shop.starting import letters, parts
from shop.starting.home import CannotStartError
from shop.starting.parts import ROOT, Listening
from shop.starting.supervisor import Part, Supervisor

LOOPBACK = "127.0.0.1"
PEOPLE = ROOT / "fixtures" / "demo" / "people.toml"
WAYS_IN = "ways-in.json"


def main(argv: list[str]) -> int:
    """Fill the sample shop if it is empty, open it, and stay until Ctrl-C."""
    options = _options(argv)
    home: Path = options.home.resolve()
    address = f"http://{LOOPBACK}:{options.port}"
    with homes.held(home, "demo", address), socket.create_server((LOOPBACK, 0)) as mail:
        homes.check_port(LOOPBACK, options.port)
        if options.fresh or not homes.kept(home).get("filled"):
            _empty(home, asked=options.fresh)
        environment = parts.environment(
            home,
            address,
            SHOP_DEMO="1",
            SHOP_DEMO_PHOTOS=options.photos,
            SHOP_MAIL_FROM="Marrowfen Strings Workshop <workshop@marrowfen.example>",
            SMTP_HOST=LOOPBACK,
            SMTP_PORT=str(mail.getsockname()[1]),
            SMTP_USER="",
            SMTP_PASSWORD="",
            SMTP_TLS="",
            SMTP_SSL="",
        )
        where = Listening(LOOPBACK, options.port)
        supervisor = Supervisor(
            [
                parts.sink(home / letters.FOLDER, mail.fileno()),
                parts.web(where, processes=1, threads=8),
                parts.worker(),
                parts.messages(),
                parts.beat(),
            ],
            environment,
            homes.logs(home),
        )
        code = _fill(supervisor, home)
        if code:
            return code
        return supervisor.run(
            look=lambda: parts.missing(where, f"{LOOPBACK}:{options.port}"),
            ready=lambda: print(welcome(address, home), flush=True),
        )


def _options(argv: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="manage.py demo", description="Fill a sample shop and open it on this computer."
    )
    parser.add_argument("--port", type=int, default=8000, help="default 8000; this computer only")
    parser.add_argument("--home", type=Path, default=ROOT / "var" / "demo", help="folder for all it keeps")
    parser.add_argument(
        "--fresh", action="store_true", help="throw the sample shop away and fill it again, around today"
    )
    parser.add_argument(
        "--photos",
        choices=("all", "few", "none"),
        default="all",
        help="photographs painted when it is filled; default all",
    )
    return parser.parse_args(argv)


def _empty(home: Path, *, asked: bool) -> None:
    if asked and os.environ.get("DATABASE_URL"):
        raise CannotStartError(
            "--fresh clears the home folder, and the database named in DATABASE_URL is not in it.\n"
            "Empty that database yourself, remove the home folder, then start without --fresh."
        )
    homes.empty(home)


def _fill(supervisor: Supervisor, home: Path) -> int:
    filled = homes.kept(home).get("filled")
    kind = "demo-again" if filled else "demo"
    code = supervisor.run_once(Part("prepare", ("shop.starting.prepare", kind)))
    if code == parts.READY and not filled:
        homes.keep(home, filled=datetime.now(UTC).isoformat(timespec="seconds"))
    return code


def _to_try(address: str, home: Path) -> list[str]:
    """Pages that open without signing in, as `manage.py ways_in` wrote them down."""
    noted = home / WAYS_IN
    ways = json.loads(noted.read_text(encoding="utf-8")) if noted.exists() else []
    if not ways:
        return []
    width = max(len(words) for words, _ in ways)
    return ["To try without signing in:", *(f"    {words:<{width}}   {address}{path}" for words, path in ways), ""]


def welcome(address: str, home: Path) -> str:
    """What the person at the terminal wants to know once all is up."""
    cast = tomllib.loads(PEOPLE.read_text())
    rows = [
        (person["username"], person["pin"], person["name"], ROLE_WORDS[Role(person["role"])])
        for person in cast["people"]
    ]
    width = max(len(username) for username, *_ in rows)
    lines = [
        "",
        f"Ready: {address}",
        f"    letters     {address}/sink/   (kept here, none is sent)",
        f"    kiosk       {address}/kiosk/register/   (the head luthier registers a tablet once)",
        f"    kept in     {home}",
        "",
        *_to_try(address, home),
        f"Sign in with a staff name and the word {cast['password']}; the PIN is for the kiosk.",
        *(f"    {username:<{width}}  PIN {pin}   {name}, {role}" for username, pin, name, role in rows),
        "",
        "Ctrl-C stops it.",
    ]
    filled = datetime.fromisoformat(str(homes.kept(home)["filled"]))
    days = (datetime.now(UTC) - filled).days
    if days >= 7:
        lines.insert(2, f"    filled {days} days ago; --fresh fills it again around today")
    return "\n".join(lines)
