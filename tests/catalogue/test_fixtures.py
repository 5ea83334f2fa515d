"""The trade's words, operations and prices as they come with the project (common practice, no source).

The counts below were made by hand from the trade's tables of parts, photographs, condition terms and operations.
"""

import json
from collections import Counter
from decimal import Decimal
from typing import Any

import pytest
from django.conf import settings

from jobs.book.kinds import FRETTED, INSTRUMENTS, ITEM_KINDS, VIOLIN_FAMILY
from jobs.catalogue.models import Operation, Word

PARTS, TERM_ROWS, TERMS, VIEWS, OPERATIONS = 65, 65, 86, 37, 75
# fifteen rows of the table of terms stand for several words each: the first code of each, and how many
GROUPED = {
    "cr-lower": 2, "fret-wear": 2, "nut-low": 2, "br-warp": 3, "post-down": 2, "peg-slip": 2, "wear-edge": 2,
    "varn-chip": 4, "scratch": 3, "worm-old": 2, "mould": 4, "dirt": 2, "bw-hairthin": 2, "bw-camber": 2, "bw-eye": 2,
}  # fmt: skip


def fixture(name: str) -> Any:
    return json.loads((settings.ROOT / "fixtures" / f"{name}.json").read_text(encoding="utf-8"))


WORDS, OPS = fixture("words"), fixture("operations")


def of(sort: str) -> dict[str, dict[str, Any]]:
    return {row["code"]: row for row in WORDS if row["sort"] == sort}


def test_every_row_of_the_tables_is_there_once() -> None:
    assert Counter(row["sort"] for row in WORDS) == {"part": PARTS, "term": TERMS, "view": VIEWS}
    assert [len(of(sort)) for sort in ("part", "term", "view")] == [PARTS, TERMS, VIEWS], "no code twice"
    assert TERM_ROWS + sum(count - 1 for count in GROUPED.values()) == TERMS
    assert len({row["code"] for row in OPS}) == len(OPS) == OPERATIONS
    assert set(GROUPED) <= set(of("term"))


def test_grouped_codes_are_single_words_now() -> None:
    for row in WORDS:
        assert "," not in row["code"]
        assert "/" not in row["code"]
    assert {"nut-low", "nut-high", "worm-old", "worm-live", "varn-bare", "br-feet", "soot"} <= set(of("term"))
    assert len({row["words"] for row in of("term").values()}) == TERMS, "no two terms read the same"


@pytest.mark.parametrize(
    ("kinds", "least"), [(VIOLIN_FAMILY, 12), (FRETTED, 9), ({"Bw"}, 6)], ids=["violin family", "fretted", "bow"]
)
def test_the_least_photo_set_has_twelve_views_nine_or_six(kinds: set[str], least: int) -> None:
    for kind in kinds:
        needed = [row for row in of("view").values() if kind in row.get("needed_for", "").split()]
        assert len(needed) == least
        assert all(kind in row["kinds"].split() for row in needed), "a needed view fits its kind"


def test_views_of_a_restoration_and_of_damage_are_never_in_the_least_set() -> None:
    for code in ("defect", "raking-light", "ultraviolet", "inside"):
        assert "needed_for" not in of("view")[code]


def test_kinds_are_the_books_kinds_and_texts_fit_their_fields() -> None:
    for model, rows in ((Word, WORDS), (Operation, OPS)):
        limits = {field.name: getattr(field, "max_length", None) for field in model._meta.get_fields()}
        for row in rows:
            assert set(row) <= set(limits)
            assert set(row["kinds"].split()) <= set(ITEM_KINDS), row["code"]
            for name, value in row.items():
                most = limits[name]
                assert most is None or len(value) <= most, f"{row['code']} {name}"


def test_every_instrument_and_the_bow_have_words_of_each_sort_and_operations() -> None:
    for kind in INSTRUMENTS | {"Bw"}:
        for sort in ("part", "term", "view"):
            assert any(kind in row["kinds"].split() for row in of(sort).values())
        assert any(kind in row["kinds"].split() for row in OPS)
    for kind in INSTRUMENTS:
        assert {"seam", "scratch", "mould", "unk"} <= {
            code for code, row in of("term").items() if kind in row["kinds"].split()
        }


def test_pests_damp_and_smoke_ask_for_quarantine() -> None:
    quarantine = {code for code, row in of("term").items() if row["urgency"] == "quarantine"}
    assert quarantine == {"worm-live", "mould", "damp", "smoke", "soot", "mites"}
    assert all(row["urgency"] for row in of("term").values())


def test_hours_rise_from_low_to_high_and_skills_have_a_price() -> None:
    skills = {rate["skill"] for rate in fixture("prices")["rates"]}
    for row in OPS:
        low, likely, high = (Decimal(row[name]) for name in ("low", "likely", "high"))
        assert 0 < low <= likely <= high, row["code"]
        assert row["skill"] in skills


# code, likely hours, skill: a row from each part of the table
@pytest.mark.parametrize(
    ("code", "likely", "skill"),
    [("EX1", "0.3", 2), ("SS1", "0.5", 2), ("BR2", "3.5", 3), ("SPP2", "20", 4), ("FR2", "8", 3), ("BW1", "0.9", 2),
     ("RE2", "12", 4), ("NK3", "15", 3), ("DO1", "3", 4)],
)  # fmt: skip
def test_planning_hours_are_those_of_the_table(code: str, likely: str, skill: int) -> None:
    (row,) = [row for row in OPS if row["code"] == code]
    assert (row["likely"], row["skill"]) == (likely, skill)


def test_the_first_prices_are_forty_sixty_two_seventy_eight_and_ninety_five() -> None:
    rates = {rate["skill"]: (rate["words"], Decimal(rate["per_hour"])) for rate in fixture("prices")["rates"]}
    assert rates == {
        1: ("apprentice", Decimal(40)),
        2: ("technician", Decimal(62)),
        3: ("luthier", Decimal(78)),
        4: ("restorer", Decimal(95)),
    }


def test_protected_materials_and_solvents_carry_their_caution() -> None:
    cautions = {row["code"]: row.get("caution", "") for row in OPS}
    for code in ("BW2", "BW3"):
        assert "follow local law" in cautions[code]
    assert "UV" in cautions["EX2"]
    assert "solvent" in cautions["RE1"]
    assert "no liquid biocide" in cautions["WO1"]


def test_the_first_terms_defer_to_local_law() -> None:
    terms = fixture("shop")["terms"]
    assert terms[-1] == "Nothing here takes away a right that the law of this place gives you."
    assert any("own separate permission" in line for line in terms), "photographs are asked for apart"
