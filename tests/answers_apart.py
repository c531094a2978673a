"""
Under test, answers go to a folder of their own and never into a trainee's sheet.

Imported by the conftest.py of lessons, exercises and tests, before any notebook or session starts.
An environment variable, because nbval runs the notebooks in processes of their own.
"""

import atexit
import os
import tempfile

_folder = tempfile.TemporaryDirectory(prefix="geodesy answers ")
atexit.register(_folder.cleanup)
os.environ["GEODESY_ANSWERS"] = _folder.name
