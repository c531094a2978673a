"""Letters in the Pythons of a class, which come of one that divides itself."""

import json
import subprocess
import sys

import pytest

# Letters of many sizes, drawn by four processes at once after the first was drawn by their parent.
SIDE_BY_SIDE = """
import hashlib, json, os, warnings
from lessons.canvas import matplotlib_adapter as adapter

warnings.simplefilter("error")
TEXT = "Deflection of the vertical -0123456789"
adapter.letter("-", False, 15, 1.0)

def drawn():
    digest = hashlib.sha256()
    for scale in range(80, 140):
        for character in TEXT:
            digest.update(adapter.letter(character, False, 15, scale / 100)[0].tobytes())
    return digest.hexdigest()

pipes = []
for _ in range(4):
    read, write = os.pipe()
    if os.fork() == 0:
        try:
            os.write(write, drawn().encode())
        finally:
            os._exit(0)
    os.close(write)
    pipes.append(read)
apart = []
for read in pipes:
    with os.fdopen(read) as said:
        apart.append(said.read())
print(json.dumps([drawn(), *apart]))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux divides a process here")
def test_letters_are_the_same_in_processes_that_draw_at_once():
    run = subprocess.run(
        [sys.executable, "-c", SIDE_BY_SIDE], capture_output=True, encoding="utf-8", check=True
    )
    alone, *apart = json.loads(run.stdout)
    assert apart == [alone] * 4
