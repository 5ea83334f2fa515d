"""What a real shop's first run asks, and where else the answers may come from. Needs no Django."""

import getpass
import locale
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Question:
    """One answer wanted: its environment variable, the words asked, what stands when nothing is said."""

    variable: str
    words: str
    default: str = ""
    needed: bool = True
    secret: bool = False


def zone_here() -> str:
    """This computer's time zone by name, "UTC" where it cannot be told."""
    named = os.environ.get("TZ", "")
    link = str(Path("/etc/localtime").resolve())
    return named or (link.partition("zoneinfo/")[2] or "UTC")


def country_here() -> str:
    """The country of this computer's language setting, as two letters."""
    country = (locale.getlocale()[0] or "").partition("_")[2][:2].upper()
    return country if len(country) == 2 and country.isalpha() else "GB"


OPENING = (
    Question("SHOP_NAME", "Name of the shop"),
    Question("SHOP_ADDRESS", "Its address, as printed; a semicolon starts a new line"),
    Question("SHOP_TELEPHONE", "Its telephone", needed=False),
    Question("SHOP_EMAIL", "Its e-mail address", needed=False),
    Question("SHOP_COUNTRY", "Country, two letters (for telephone numbers)", default=country_here()),
    Question("SHOP_CURRENCY", "Currency, three letters", default="EUR"),
    Question("SHOP_TIME_ZONE", "Time zone", default=zone_here()),
    Question("SHOP_FIRST_PERSON", "Head luthier's name"),
    Question("SHOP_FIRST_USERNAME", "Staff name to sign in with, one short word"),
    Question("SHOP_FIRST_PASSWORD", "Password, ten letters or more", secret=True),
    Question("SHOP_FIRST_PIN", "PIN for the kiosk, four to eight figures", needed=False, secret=True),
)
LISTENING = (
    Question("SHOP_BIND", "Listen on which address (127.0.0.1: this computer only; 0.0.0.0: all)", default="127.0.0.1"),
    Question("SHOP_PORT", "Port", default="8000"),
    Question("SHOP_PUBLIC_ADDRESS", "Address people type and tags carry (https://…)", needed=False),
    Question("SHOP_CERTIFICATE", "Certificate file (PEM), if this computer answers https itself", needed=False),
    Question("SHOP_CERTIFICATE_KEY", "Its key file (PEM)", needed=False),
)


def wanting(questions: tuple[Question, ...], answers: Mapping[str, str]) -> list[Question]:
    """The needed questions that have no answer and no default."""
    return [each for each in questions if each.needed and not each.default and not answers.get(each.variable)]


def ask(
    questions: tuple[Question, ...],
    known: Mapping[str, str],
    *,
    read: Callable[[str], str] = input,
    read_secret: Callable[[str], str] = getpass.getpass,
) -> dict[str, str]:
    """Ask at the terminal; what is known already is offered and stands when nothing is typed. A needed one is insisted on."""
    answers: dict[str, str] = {}
    for question in questions:
        offered = known.get(question.variable) or question.default
        shown = "as before" if question.secret else offered
        prompt = f"{question.words}{f' [{shown}]' if offered else ''}: "
        while True:
            answer = (read_secret if question.secret else read)(prompt).strip() or offered
            if question.secret and answer and answer != offered and read_secret("Once more: ").strip() != answer:
                print("The two were not the same.")
                continue
            if answer or not question.needed:
                break
            print("This one is needed.")
        answers[question.variable] = answer
    return answers
