"""The rooms of the shop's own pages: what stands behind each door, in one line, and the order the first walk takes.

A room is added by its row in ROOMS: its address, who may enter, and a `line` that says how it stands.
"""

from collections.abc import Callable
from dataclasses import dataclass

from jobs.office import lines
from jobs.office.lines import Standing
from shop.people.roles import Act


@dataclass(frozen=True, slots=True)
class Room:
    """One door on the front page. `line` costs at most two queries; `lead` is what the first walk says of it."""

    code: str
    name: str
    address: str
    act: Act
    line: Callable[[Standing], str]
    lead: str = ""
    caution: str = ""


ROOMS: tuple[Room, ...] = (
    Room(
        code="facts",
        name="Name, money and papers",
        address="office:facts",
        act=Act.SET_SHOP,
        line=lines.facts,
        lead="What stands at the head of every paper, and the figures the shop computes with.",
    ),
)
