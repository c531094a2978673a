"""The course opened in the browser, on this machine alone."""

import sys

# Checks of international web addresses, which nothing here asks for. Whatever reads a notebook
# would build their 38 grammars while the trainee waits, which takes longer than all else together;
# where the package is not found, addresses in other than plain letters are not checked.
sys.modules.setdefault("rfc3987_syntax", None)
