"""Plain words inside a sentence: the names of defects, causes and places, and counts of things."""

from defectlog.rulebase.shapes import RuleBase


def defect_name(defect: str, rules: RuleBase) -> str:
    """ "gas holes" for gas-holes; a shop's own name as it stands."""
    return lowered(rules.defects[defect].name) if defect in rules.defects else defect


def cause_name(cause: str, rules: RuleBase) -> str:
    """ "sand too wet" for sand-too-wet; a shop's own words as they stand."""
    return lowered(rules.causes[cause].name) if cause in rules.causes else cause


def place_names(place: str, rules: RuleBase) -> str:
    """ "cope face and near the gate" for "cope-face, near-gate"; words that are no places as they stand."""
    parts = [part.strip() for part in place.split(",")]
    known = all(part in rules.places for part in parts)
    return " and ".join(lowered(rules.places[part].name) for part in parts) if known else place


def lowered(name: str) -> str:
    """The first letter small, unless the word is written in capitals ("AFS number")."""
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]


def counted(number: int, one: str, many: str = "") -> str:
    """ "1 casting", "3 castings", "0 moulds"."""
    return f"{number} {one if number == 1 else many or one + 's'}"
