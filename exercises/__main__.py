"""The instructor's side of the course: ``python -m exercises`` lists its commands."""

import argparse
import sys
from typing import NoReturn

from exercises import commands
from exercises.commands.speaking import NOTHING_DONE, say


def main(arguments: list[str] | None = None) -> int:
    """Run one command; return 0 all read, 1 something was left, 2 nothing was done."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    given = sys.argv[1:] if arguments is None else arguments
    wanted = _parser(given[0] if given else "").parse_args(given)
    if wanted.command is None:
        print(help_text(), end="")
        return NOTHING_DONE
    try:
        return wanted.run(wanted)
    except (NotADirectoryError, FileExistsError) as error:
        say(f"{error.filename}: this is a file, not a folder.")
        return NOTHING_DONE
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        say(f"{where}{error.strerror or error}.")
        return NOTHING_DONE
    except KeyboardInterrupt:
        say("Stopped. Nothing was written.")
        return NOTHING_DONE


def _parser(word: str) -> argparse.ArgumentParser:
    parser = _Parser(prog="python -m exercises")
    under = parser.add_subparsers(dest="command", parser_class=_Parser)
    for command in commands.wanted(word):
        command.add_to(under)
    return parser


def help_text() -> str:
    """Return what every command says of itself."""
    return "\n".join(
        [
            "The instructor's side of the course.\n",
            *(command.HELP for command in commands.wanted("")),
            "Nothing in an answer sheet is ever executed, and the sheets are never changed.\n",
        ]
    )


class _Parser(argparse.ArgumentParser):
    """Speaks as plainly as the rest."""

    def format_help(self) -> str:
        return help_text()

    def error(self, message: str) -> NoReturn:
        self.exit(NOTHING_DONE, f"{message}.\nFor help: python -m exercises\n")


if __name__ == "__main__":
    sys.exit(main())
