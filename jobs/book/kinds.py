"""Kinds of things, jobs and roles. Pure tables (trade words; common practice, no source)."""

ITEM_KINDS = {
    "Vn": "violin",
    "Va": "viola",
    "Vc": "cello",
    "Db": "double bass",
    "Bw": "bow",
    "Gt": "guitar",
    "Md": "mandolin",
    "Cs": "case",
    "Pt": "bag of replaced parts",
    "Ot": "other",
}
VIOLIN_FAMILY = frozenset({"Vn", "Va", "Vc", "Db"})
FRETTED = frozenset({"Gt", "Md"})
INSTRUMENTS = VIOLIN_FAMILY | FRETTED

JOB_KINDS = {
    "repair": "repair",
    "rehair": "rehair",
    "settling": "settling visit",
    "warranty": "warranty",
    "internal": "internal",
}
# Done without asking the owner for money, so without an estimate.
FREE_KINDS = frozenset({"settling", "warranty", "internal"})

PARTY_ROLES = {
    "owner": "owner",
    "player": "player",
    "depositor": "brings it in",
    "payer": "pays",
    "approver": "may approve",
    "collector": "may collect",
}

# What may be put right of a party or an item, as it is called.
CORRECTED = {
    "name": "name",
    "email": "e-mail",
    "phone": "telephone",
    "address": "address",
    "kind": "kind",
    "size": "size",
    "title": "title",
    "labelled": "label text",
    "marks": "marks",
    "asset": "asset number",
}

SIZES = {
    "Vn": ("4/4", "7/8", "3/4", "1/2", "1/4", "1/8", "1/10", "1/16", "1/32"),
    "Va": ("12 in", "13 in", "14 in", "15 in", "15.5 in", "16 in", "16.5 in", "17 in"),
    "Vc": ("4/4", "7/8", "3/4", "1/2", "1/4", "1/8", "1/10"),
    "Db": ("4/4", "3/4", "5/8", "1/2", "1/4", "1/8"),
    "Bw": ("violin", "viola", "cello", "bass, overhand", "bass, underhand", "violin 3/4", "violin 1/2", "cello 3/4"),
    "Gt": ("classical", "steel-string", "classical 3/4", "classical 1/2", "archtop"),
    "Md": ("flat back", "carved back", "bowl back"),
}

# Silhouette symbol for a kind; a guitar's follows its size words.
SILHOUETTES = {
    "Vn": "violin",
    "Va": "viola",
    "Vc": "cello",
    "Db": "bass",
    "Bw": "bow",
    "Gt": "guitar-steel",
    "Md": "mandolin",
    "Cs": "case",
}


def silhouette(kind: str, size: str = "") -> str:
    """Symbol id of the sprite templates/parts/silhouettes.svg for an item."""
    if kind == "Gt" and size.startswith("classical"):
        return "guitar-classical"
    return SILHOUETTES.get(kind, "case")


def title_of(kind: str, size: str) -> str:
    """“Violin 4/4”, “Cello bow”, “Guitar, classical”, “Viola 16 in”."""
    words = ITEM_KINDS[kind]
    if kind == "Bw":
        return f"{size} bow".strip().capitalize() if size else "Bow"
    if kind == "Gt" and size:
        return f"{size} guitar".capitalize()
    if kind == "Md" and size:
        return f"Mandolin, {size}"
    return f"{words.capitalize()} {size}".strip()
