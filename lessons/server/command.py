"""What `python -m lessons` was asked for: the course for one person, or for a class."""

import argparse
import sys

PORTS = {"course": 8808, "class": 8818}


def main():
    """Serve what was asked for until Ctrl+C; return the status."""
    options = _options()
    if options.folder is None:
        from lessons.server import serving  # noqa: PLC0415 - each of the two takes a second

        return serving.main(options)
    if lacking := _lacking():
        print(lacking, file=sys.stderr)
        return 1
    from lessons.server import hosting  # noqa: PLC0415

    return hosting.main(options)


def _lacking():
    """Return in one sentence what a class needs and this Python lacks."""
    from lessons import start  # noqa: PLC0415

    try:
        start.check((*start.NEEDED, "voila", "segno"))
    except start.NotReadyError as error:
        return str(error)
    return ""


def _options():
    parser = argparse.ArgumentParser(
        prog="python -m lessons", description="Open the course in the browser."
    )
    add = parser.add_argument
    add("--no-browser", action="store_true", help="print the address and open no browser")
    words = f"port (default {PORTS['course']}, of a class {PORTS['class']}); where that of the "
    add("--port", type=int, help=words + "course is taken the next free one serves")
    add("--page", default="", help="open this notebook of the course in place of the start page")
    unlocked = (
        "for authors: open the lessons unlocked, with JupyterLab's own toolbar and shortcuts; "
    )
    add("--edit", action="store_true", help=unlocked + "saving locks them and keeps no output")
    room = parser.add_argument_group("a class from one computer")
    add = room.add_argument
    add("--class", dest="folder", metavar="FOLDER", help="serve this class folder to the room")
    add("--address", default="", metavar="A", help="serve at this address of the computer alone")
    add("--certificate", metavar="FILE", help="with --key: serve https with this certificate")
    add("--key", metavar="FILE", help="the certificate's key")
    add("--no-fork", action="store_true", help="begin each page's Python as Windows has to")
    add("--no-desk", action="store_true", help="open no marking desk")
    options = parser.parse_args()
    if options.port is None:
        options.port = PORTS["course" if options.folder is None else "class"]
    return options
