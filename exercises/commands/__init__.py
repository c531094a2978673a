"""The instructor's commands, one file each."""

from importlib import import_module
from types import ModuleType

NAMES = (  # of the files, in the order in which the help lists them
    *("mark", "desk", "change", "check_record", "close_finding", "record", "statements"),
    *("answers", "today", "handout", "paper", "sailing"),
    *("notes", "site", "slate", "class_new", "phrase_new", "forget", "demo"),
)


def wanted(word: str) -> list[ModuleType]:
    """Return the command of that name alone, the others need not be loaded; else all commands."""
    alone = word.replace("-", "_")
    names = [alone] if alone in NAMES else NAMES
    return [import_module(f"exercises.commands.{name}") for name in names]
