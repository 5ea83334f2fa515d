"""`manage.py serve`: a real shop. The first run asks for what it must know; later runs ask nothing."""

import argparse
import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlsplit

from shop.starting import authority, certificates, network, parts, questions
from shop.starting import home as homes
from shop.starting.home import CannotStartError
from shop.starting.parts import ROOT, Listening
from shop.starting.supervisor import Part, Supervisor

PARTS = ("web", "worker", "messages", "beat")
# options and the environment variables that say the same
OPTIONS = {
    "bind": "SHOP_BIND",
    "port": "SHOP_PORT",
    "public": "SHOP_PUBLIC_ADDRESS",
    "certificate": "SHOP_CERTIFICATE",
    "key": "SHOP_CERTIFICATE_KEY",
    "trust_port": "SHOP_TRUST_PORT",
}
OWN, NONE = "own", "none"  # what may stand for a certificate file


@dataclass(frozen=True, slots=True)
class Place:
    """Where the shop listens and the address people use for it."""

    where: Listening
    public: str
    own: bool = False  # its certificate is the shop's own authority's
    trust: str = ""  # where devices learn to trust that authority, http://…

    @property
    def host_header(self) -> str:
        return urlsplit(self.public).netloc


def main(argv: list[str]) -> int:
    """Open the shop and stay until told to stop."""
    options = _options(argv)
    home: Path = options.home.resolve()
    first = not homes.kept(home).get("listening")
    with homes.held(home, "shop", "serve"):
        said = {name: getattr(options, option) for option, name in OPTIONS.items() if getattr(options, option)}
        answers = _listening(home, said)
        place = placed(answers, home)
        homes.check_port(place.where.host, place.where.port)
        if place.trust:
            homes.check_port(place.where.host, urlsplit(place.trust).port or 0)
        environment = parts.environment(home, place.public)
        supervisor = Supervisor(chosen_parts(options.only, place.where, environment), environment, homes.logs(home))
        code = _open(supervisor)
        if code:
            return code
        if place.own:
            place = with_own_certificate(place, home, supervisor.environment.get("SHOP_NAME", ""))
            supervisor.parts = chosen_parts(options.only, place.where, environment, trust=place.trust)
            environment |= {
                "SHOP_TRUST_ADDRESS": place.trust,
                "SHOP_AUTHORITY": str(home / "keys" / "authority.pem"),
                "SHOP_HOSTS": ",".join([*filter(None, [environment.get("SHOP_HOSTS")]), *own_names(place)]),
            }
        supervisor.environment = {
            name: value for name, value in environment.items() if not name.startswith("SHOP_FIRST_")
        }
        if first:
            homes.keep(home, listening=answers)
        if "web" not in options.only:
            return supervisor.run(
                look=lambda: "", ready=lambda: print(f"Started: {', '.join(options.only)}.", flush=True)
            )
        return supervisor.run(
            look=lambda: parts.missing(place.where, place.host_header, web_only=options.only != [*PARTS]),
            ready=lambda: print(welcome(place, home), flush=True),
        )


def _options(argv: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="manage.py serve",
        description="Open a real shop. The first run asks for the shop's name and the rest, or takes them from "
        + ", ".join(question.variable for question in questions.OPENING)
        + ".",
        epilog="SHOP_WEB_PROCESSES sets how many web processes run: 1 on SQLite, else 2.",
    )
    home = Path(os.environ.get("SHOP_HOME") or ROOT / "var" / "shop")
    parser.add_argument("--home", type=Path, default=home, help="folder for all it keeps (SHOP_HOME)")
    parser.add_argument("--bind", help="address to listen on (SHOP_BIND)")
    parser.add_argument("--port", help="port to listen on (SHOP_PORT)")
    parser.add_argument("--public", metavar="ADDRESS", help="address people use, https://… (SHOP_PUBLIC_ADDRESS)")
    parser.add_argument(
        "--certificate",
        metavar="FILE",
        help="certificate, PEM; “own” lets the shop make its own and show how to trust it, which is what an address open "
        "to the network gets unless told otherwise; “none” stays with http (SHOP_CERTIFICATE)",
    )
    parser.add_argument("--key", metavar="FILE", help="its key, PEM (SHOP_CERTIFICATE_KEY)")
    parser.add_argument(
        "--trust-port",
        metavar="PORT",
        help="port of the page where devices learn to trust the shop's own certificate; the port after the shop's unless "
        "told otherwise, 0 for no such page (SHOP_TRUST_PORT)",
    )
    parser.add_argument(
        "--only",
        metavar="PARTS",
        type=_part_names,
        default=[*PARTS],
        help=f"start only some of {', '.join(PARTS)}, for a shop on several computers",
    )
    return parser.parse_args(argv)


def _part_names(text: str) -> list[str]:
    names = text.split(",")
    unknown = [name for name in names if name not in PARTS]
    if unknown:
        raise argparse.ArgumentTypeError(f"{unknown[0]} is none of {', '.join(PARTS)}")
    return names


def _listening(home: Path, said: Mapping[str, str]) -> dict[str, str]:
    """Where to listen: as said in this run, else by the environment, else as kept; the first run asks."""
    noted = homes.kept(home).get("listening")
    kept = {str(name): str(value) for name, value in noted.items()} if isinstance(noted, dict) else {}
    told = {name: os.environ[name] for name in OPTIONS.values() if os.environ.get(name)}
    defaults = {"SHOP_TRUST_PORT": ""} | {question.variable: question.default for question in questions.LISTENING}
    known = {**defaults, **kept, **told, **said}
    if noted is None and not told and not said and sys.stdin.isatty():
        return questions.ask(questions.LISTENING, known)
    return known


def placed(answers: Mapping[str, str], home: Path) -> Place:
    """Look at where to listen. Raises CannotStartError with what will not do."""
    host = answers["SHOP_BIND"]
    port = _port(answers["SHOP_PORT"])
    certificate, key = answers["SHOP_CERTIFICATE"], answers["SHOP_CERTIFICATE_KEY"]
    said = answers["SHOP_PUBLIC_ADDRESS"].rstrip("/")
    # a public address said without a certificate means that something in front of us answers https
    own = certificate == OWN or not (certificate or said or network.is_loopback(host))
    if certificate in {OWN, NONE}:
        certificate = ""
    if bool(certificate) != bool(key):
        raise CannotStartError("A certificate and its key go together; one is missing.\nGive both files, or neither.")
    where = Listening(host, port)
    if certificate:
        where = Listening(host, port, *certificates.ready(Path(certificate), Path(key), home / "keys"))
    name = host
    if host in network.UNSPECIFIED:
        name = next(iter(network.own_numbers()), "127.0.0.1")
    shown = f"[{name}]" if ":" in name else name
    public = said or f"{'https' if certificate or own else 'http'}://{shown}:{port}"
    parsed = urlsplit(public)
    if parsed.scheme not in {"http", "https"} or not parsed.hostname or parsed.path:
        raise CannotStartError(f"“{public}” is not an address.\nWrite it as https://shop.example, with no path.")
    if own and parsed.scheme != "https":
        raise CannotStartError(f"{public} is not https, but a certificate of our own was asked for.\nLeave one out.")
    trust = _port(answers.get("SHOP_TRUST_PORT") or str(port + 1 if port < 65535 else port - 1), least=0)
    return Place(where, public, own, f"http://{shown}:{trust}" if own and trust else "")


def _port(text: str, *, least: int = 1) -> int:
    if not text.isdecimal() or not least <= int(text) < 65536:
        raise CannotStartError(f"“{text}” is not a port.\nChoose a number from 1024 to 65535.")
    return int(text)


def own_names(place: Place) -> list[str]:
    """Every name and number by which devices on the shop's own network may ask for it."""
    numbers = [number for number in network.own_numbers() if authority.is_private(number)]
    names = [urlsplit(place.public).hostname or "", *numbers, network.own_name(), "localhost", "127.0.0.1"]
    if place.where.host not in network.UNSPECIFIED:
        names.append(place.where.host)
    return [*dict.fromkeys(name for name in names if name)]


def with_own_certificate(place: Place, home: Path, shop: str) -> Place:
    """The same place, opened with a certificate of the shop's own authority."""
    files = authority.own(home / "keys", shop, own_names(place), at=datetime.now(UTC))
    return replace(place, where=replace(place.where, certificate=files.certificate, key=files.key))


def chosen_parts(names: list[str], where: Listening, environment: Mapping[str, str], *, trust: str = "") -> list[Part]:
    """The parts to start, in the order of `PARTS`. SQLite gets one web process, a database server two."""
    processes = environment.get("SHOP_WEB_PROCESSES") or ("2" if environment.get("DATABASE_URL") else "1")
    if not processes.isdecimal() or int(processes) < 1:
        raise CannotStartError(f"SHOP_WEB_PROCESSES is “{processes}”.\nSet it to a number from 1 up.")
    every = {
        "web": parts.web(where, processes=int(processes), threads=8),
        "worker": parts.worker(),
        "messages": parts.messages(),
        "beat": parts.beat(),
    }
    chosen = [every[name] for name in PARTS if name in names]
    if trust and "web" in names:
        chosen.append(parts.trust(Listening(where.host, urlsplit(trust).port or 0)))
    return chosen


def _open(supervisor: Supervisor) -> int:
    """Prepare the home, asking for the shop's name and the rest until they will do; an exit code."""
    prepare = Part("prepare", ("shop.starting.prepare", "shop"))
    while True:
        code = supervisor.run_once(prepare)
        if code not in {parts.NOT_OPENED, parts.REFUSED}:
            return code
        if not sys.stdin.isatty():
            return _say_wanting(supervisor.environment) if code == parts.NOT_OPENED else code
        print("\nThis shop is new. A few questions; what stands in brackets is taken when nothing is typed.\n")
        secret = {question.variable for question in questions.OPENING if question.secret and code == parts.REFUSED}
        known = {name: value for name, value in supervisor.environment.items() if name not in secret}
        answers = questions.ask(questions.OPENING, known)
        supervisor.environment = {**supervisor.environment, **answers}


def _say_wanting(environment: Mapping[str, str]) -> int:
    wanting = questions.wanting(questions.OPENING, environment)
    others = [
        question for question in questions.OPENING if question not in wanting and not environment.get(question.variable)
    ]
    raise CannotStartError(
        "\n".join(
            [
                "This shop is new, and nobody is here to ask.",
                "Set these environment variables, or start it once at a terminal:",
                *(f"    {question.variable:<20} {question.words}" for question in wanting),
                "If need be, these too:",
                *(f"    {question.variable:<20} {question.words}; else “{question.default}”" for question in others),
            ]
        )
    )


def welcome(place: Place, home: Path) -> str:
    """What the person at the terminal wants to know once all is up."""
    copies = os.environ.get("SHOP_COPIES") or f"{home / 'copies'}"
    lines = ["", f"Ready: {place.public}", f"    kept in   {home}", f"    copies    one each day in {copies}"]
    if place.trust:
        lines += [
            f"    Each phone and tablet must trust it once: open {place.trust} there",
            "    and follow the page. A sheet to print lies under Shop, Own network.",
        ]
    if not place.public.startswith("https") and place.where.host not in {"127.0.0.1", "::1", "localhost"}:
        lines += [
            "    Caution: this address is not https. Passwords cross the network readable, and phones and tablets",
            "    will not open their camera. Start it with --certificate own, or give a certificate and its key.",
        ]
    return "\n".join([*lines, "", "Ctrl-C stops it."])
