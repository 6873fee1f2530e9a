"""The rule base as this shop sees it: ours, with the shop's own folder laid over it."""

import os
from pathlib import Path

from defectlog.rulebase.load import load_rules
from defectlog.rulebase.shapes import RuleBase


def shop_folder(book_path: Path) -> Path:
    """A shop's own rules: DEFECTLOG_SHOP_RULES, else a folder beside the book (`shop.db` → `shop.rules`)."""
    named = os.environ.get("DEFECTLOG_SHOP_RULES")
    return Path(named) if named else book_path.parent / f"{book_path.stem}.rules"


def cache_folder() -> Path | None:
    """Where parsed rules are remembered; None when DEFECTLOG_NO_CACHE is set. It may be deleted at any time."""
    if os.environ.get("DEFECTLOG_NO_CACHE"):
        return None
    from platformdirs import user_cache_path

    return user_cache_path("defectlog", appauthor=False)


def the_rules(book_path: Path) -> RuleBase:
    """Raises RulesBroken with every problem of every rule file."""
    return load_rules(shop_folder=shop_folder(book_path), cache_folder=cache_folder())
