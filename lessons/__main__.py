"""``python -m lessons`` opens the course in the browser, or says in one sentence why it cannot."""

import sys

try:
    from lessons import start

    start.check((*start.NEEDED, "jupyterlab"))
except ImportError as lacking:
    sys.exit(str(lacking))

from lessons import serving

sys.exit(serving.main())
