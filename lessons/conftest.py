"""
Read by pytest before the tests of this folder: what the evening before says at its end, in words.

`python -m pytest lessons` runs each notebook (nbval) and answers each exercise (test_evening.py).
"""

import json
import re
from pathlib import Path

import tests.answers_apart  # noqa: F401 - keeps the trainee's own answers out of the tests
from tests.forgetting import page_forgotten  # noqa: F401 - a fixture of every file

FOLDER = Path(__file__).parent
COLOURED = re.compile(r"\x1b\[[0-9;]*m")
AGREE = re.compile(r"(\d+) of \d+ published numbers agree")
TO_DO = """\
What to do: do not teach a lesson that is named above from this computer yet. Install what the
course needs again,
    python -m pip install -r requirements.txt
with this course's own Python, and run this once more. What fails again is in the course itself:
take a fresh copy of its folder, or send these lines to whoever looks after it."""


class Lesson:
    """One notebook: what stands in it, and what the run found."""

    def __init__(self, name):
        self.name = name
        cells = json.loads((FOLDER / f"{name}.ipynb").read_text(encoding="utf-8"))["cells"]
        self.title = "".join(cells[0]["source"]).partition("\n")[0].lstrip("# ")
        self.code, self.sections, section = [], [], ""
        for cell in cells:
            text = "".join(cell["source"])
            if cell["cell_type"] == "code":
                self.code.append(cell)
                self.sections.append(section)
            elif headings := re.findall(r"^##+ (.+)$", text, re.MULTILINE):
                section = headings[-1]
        self.cells, self.exercises, self.slips, self.failures = 0, 0, 0, []

    def number(self, pattern):
        """Return how many code cells begin a line so."""
        return sum(bool(re.search(pattern, "".join(c["source"]), re.M)) for c in self.code)

    def published(self):
        """Return how many published numbers the lesson is checked against."""
        outputs = [o for cell in self.code for o in cell["outputs"] if "text" in o]
        found = [AGREE.search("".join(output["text"])) for output in outputs]
        return sum(int(match[1]) for match in found if match)

    def words(self):
        """Return what holds, as one line."""
        held = []
        if self.cells == len(self.code):
            figures, numbers = self.number(rf"^{self.name[3:]}\.\w+\("), self.published()
            held += [f"{plural(figures, 'figure')} drawn"] if figures else []
            held += [f"{plural(numbers, 'published value')} hold"] if numbers else []
            held = held or ["runs to its end"]
        if self.exercises:
            held.append(
                f"{plural(self.exercises, 'exercise')} marked: right, each of {self.slips} slips "
                "named, silly answers refused"
            )
        return f"{self.title}: {', '.join(held)}"


def plural(number, thing):
    """Return "1 figure", "5 figures"."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


class Evening:
    """Listens to the run and reports it lesson by lesson."""

    def __init__(self):
        names = sorted(path.stem for path in FOLDER.glob("*.ipynb"))
        self.lessons = {name: Lesson(name) for name in names}
        self.topics = {name[3:]: lesson for name, lesson in self.lessons.items()}

    def pytest_runtest_logreport(self, report):
        """Note how one cell or one exercise came out."""
        path, _, test = report.nodeid.partition("::")
        if path == "lessons/test_evening.py":
            said = dict(report.user_properties)
            if report.when == "call" and "topic" in said:
                self._exercise(self.topics[said["topic"]], said, report)
        elif path.startswith("lessons/") and path.endswith(".ipynb") and path.count("/") == 1:
            self._cell(self.lessons[Path(path).stem], test, report)

    def _cell(self, lesson, test, report):
        if report.passed:
            lesson.cells += report.when == "call"
        elif report.failed:
            place = int(re.search(r"\d+$", test)[0])
            lesson.failures.append(f"{lesson.sections[place] or 'its beginning'}: {_why(report)}")

    def _exercise(self, lesson, said, report):
        if report.passed:
            lesson.exercises += 1
            lesson.slips += said["slips"]
        elif report.failed:
            lesson.failures.append(f"exercise {said['exercise']}: {_why(report)}")

    def pytest_terminal_summary(self, terminalreporter):
        """Say of each lesson that was run what holds, or what does not and what to do."""
        met = [le for le in self.lessons.values() if le.cells or le.exercises or le.failures]
        if not met:
            return
        tell = terminalreporter
        tell.section("the evening before")
        for lesson in met:
            if not lesson.failures:
                tell.write_line(lesson.words())
                continue
            tell.write_line(f"{lesson.title}: DOES NOT HOLD", red=True)
            for failure in lesson.failures:
                tell.write_line(f"    {failure}")
        tell.write_line("")
        if any(lesson.failures for lesson in met):
            tell.write_line(TO_DO)
        else:
            tell.write_line("All that was run holds on this computer.", green=True)


def _why(report):
    """Return what went wrong as one line, out of all that pytest or nbval says of it."""
    lines = [line.strip() for line in COLOURED.sub("", report.longreprtext).splitlines()]
    if "Cell outputs differ" in report.longreprtext:
        other = [line.lstrip("+ ") for line in lines if line.startswith("+ ")]
        return f"prints other numbers than are stored: {' | '.join(other)}"
    if told := [line.removeprefix("E").strip() for line in lines if line.startswith("E  ")]:
        return told[0]
    errors = [line for line in lines if re.match(r"\w*(Error|Exception|Interrupt)\b", line)]
    return (errors or [line for line in lines if line] or ["it stopped"])[-1]


def pytest_configure(config):
    """Listen to the run."""
    config.pluginmanager.register(Evening(), "the evening before")
