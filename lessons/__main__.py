"""``python -m lessons`` opens the course in the browser, or says in one sentence why it cannot."""

import os
import sys

try:
    from lessons import start

    start.check((*start.NEEDED, "jupyterlab"))
except ImportError as lacking:
    sys.exit(str(lacking))

from lessons.server import command

status = command.main()
# A page that was closed while it opened leaves a socket, and Python would wait a minute for it.
os._exit(status)
