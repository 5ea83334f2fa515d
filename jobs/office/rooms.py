"""The rooms of the shop's own pages: what stands behind each door, in one line, and the order the first walk takes.

A room is added by its row in ROOMS: its address, who may enter, and a `line` that says how it stands.
"""

from collections.abc import Callable
from dataclasses import dataclass

from jobs.office import lines
from jobs.office.copies_reads import copies_line
from jobs.office.lines import Standing
from jobs.office.network_reads import network_line
from jobs.office.staff_reads import staff_line
from jobs.office.text_samples import texts_line
from shop.people.roles import Act


@dataclass(frozen=True, slots=True)
class Room:
    """One door on the front page. `line` costs at most two queries; `lead` is what the first walk says of it.

    `sample`: what a new shop finds there is invented, and marked so until somebody confirms it with the words of `confirm`.
    """

    code: str
    name: str
    address: str
    act: Act
    line: Callable[[Standing], str]
    lead: str = ""
    caution: str = ""
    sample: bool = False
    confirm: str = "This is right"


ROOMS: tuple[Room, ...] = (
    Room(
        code="facts",
        name="Name, money and papers",
        address="office:facts",
        act=Act.SET_SHOP,
        line=lines.facts,
        lead="What stands at the head of every paper, and the figures the shop computes with.",
    ),
    Room(
        code="hours",
        name="Hours and closed days",
        address="office:hours",
        act=Act.SET_SHOP,
        line=lines.hours,
        lead="When the doors are open. Days are promised only when they are, and owners read it.",
    ),
    Room(
        code="taxes",
        name="Taxes",
        address="office:taxes",
        act=Act.SET_PRICES,
        line=lines.taxes,
        lead="Rates by day for labour, goods and outside work.",
        caution="The rates are samples. A licensed tax adviser of your place decides what is right.",
        sample=True,
        confirm="A tax adviser has looked at this: it is right",
    ),
    Room(
        code="prices",
        name="Prices",
        address="office:prices",
        act=Act.SET_PRICES,
        line=lines.prices,
        lead="Hours and small work at a fixed price, from a day on. The first list is a sample: begin one of your own.",
        sample=True,
    ),
    Room(
        code="terms",
        name="Terms",
        address="office:terms",
        act=Act.SET_SHOP,
        line=lines.terms,
        lead="What an owner signs with the condition note.",
        caution="Terms 1 are a sample. Have them read by a lawyer of your place before the first owner signs.",
        sample=True,
        confirm="A lawyer has read these: they are right",
    ),
    Room(
        code="letters",
        name="Letters to owners",
        address="office:texts",
        act=Act.SET_SHOP,
        line=texts_line,
        lead="What owners are told, and in which words. Read them once: they are sent in your name.",
    ),
    Room(
        code="places",
        name="Places",
        address="office:places",
        act=Act.SET_SHOP,
        line=lines.places,
        lead="Hooks, bays and cupboards, room by room. The first ones are samples: rename them as yours are called.",
        sample=True,
    ),
    Room(
        code="people",
        name="People",
        address="office:staff",
        act=Act.SET_STAFF,
        line=staff_line,
        lead="Who works here, what each may do, and their way in.",
    ),
    Room(
        code="devices",
        name="Devices",
        address="office:devices",
        act=Act.KIOSK,
        line=lines.devices,
        lead="The tablet at the front desk and the phones at the bench, each registered on itself.",
    ),
    Room(
        code="network",
        name="Own network",
        address="office:network",
        act=Act.SET_SHOP,
        line=network_line,
        lead="How the shop’s phones and tablets come to trust this computer, so that nobody reads along and the camera opens.",
    ),
    Room(
        code="copies",
        name="Safe copies",
        address="office:copies",
        act=Act.SEE_COPIES,
        line=copies_line,
        lead="A copy of everything is made each day while the shop runs. Keep at least one on another disk or computer.",
    ),
)
