"""
The register of 300 sheets: how long it takes to write, how large it is, how fast it opens.

Run from the repository's root: python -m tests.bench.bench_register

What is claimed: marked and written in 8 s, a page of at most 10 MB that Chromium shows in 5 s.
The sheets are those of a made-up class, sent in six folders as six vessels would send them.
"""

import os
import tempfile
import time
from pathlib import Path

from exercises.instructor import demo
from exercises.register import register
from tests.browser.course import open_browser

SHEETS, VESSELS, TIMES = 300, 6, 3
SHOWN = "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"


def main():
    """Measure and print."""
    with tempfile.TemporaryDirectory(prefix="bench register ") as home:
        folder, out = Path(home, "class"), Path(home, "marked")
        demo.write(folder, SHEETS)
        for number, path in enumerate(sorted(folder.glob("answers-*.jsonl"))):
            vessel = folder / f"vessel {'ABCDEF'[number * VESSELS // SHEETS % VESSELS]}"
            vessel.mkdir(exist_ok=True)
            path.rename(vessel / path.name)
        print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
        begun = time.perf_counter()
        marked = register.write(folder, out, several=True)
        seconds = time.perf_counter() - begun
        print(f"{len(marked.members)} trainees, marked and written in {seconds:.1f} s")
        files = sorted(out.rglob("*.*"), key=lambda path: -path.stat().st_size)
        for path in files[:4]:
            print(f"{path.name:<28} {path.stat().st_size / 1e6:6.2f} MB")
        print(f"{'all of it':<28} {sum(p.stat().st_size for p in files) / 1e6:6.2f} MB")
        with open_browser() as browser:
            for path in (marked.html, next(p for p in files if "lesson" in p.name)):
                print(f"{path.name:<28} opened in {_opened(browser, path):.1f} s")


def _opened(browser, path):
    """Return the median of some openings, until the page is drawn."""
    found = []
    for _ in range(TIMES):
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        begun = time.perf_counter()
        page.goto(path.as_uri())
        page.evaluate(SHOWN)
        found.append(time.perf_counter() - begun)
        page.close()
    return sorted(found)[TIMES // 2]


if __name__ == "__main__":
    main()
