"""
Can anything that one person hands in touch the others? python -m tests.endurance.endure_hostile [N]

N hostile inputs, 100 000 if none is given: lines of sheets and of changed marks, forms, tables,
rosters, settings of papers, files of statements. What must hold stands in tests/test_hostile.py,
which tries a few of them. The first that breaks a rule ends the run, made as small as it can be.
"""

import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from exercises.instructor import statements
from exercises.paper import paper
from exercises.sheets import changed_marks, roster
from tests import hostile
from tests.test_hostile import Class, Exam, own_sheet, says, sent_files, sheet_files

SHARES = {  # of a hundred inputs
    "lines of sheets": 70, "lines of one's own sheet": 10, "forms": 8,
    "rosters": 4, "settings": 4, "files sent": 4,
}  # fmt: skip
SHEETS = st.lists(hostile.lines(hostile.events, most=10), min_size=6, max_size=12)


class Endurance:
    """The rules, each with the inputs it takes and how many those were."""

    def __init__(self, home):
        self.home, self.count = home, Counter()
        (home / "class").mkdir()
        (home / "exam").mkdir()
        self.course, self.exam = Class(home / "class"), Exam(home / "exam")
        self.rules = {
            "lines of sheets": (st.tuples(SHEETS, hostile.changes), self.sheets),
            "lines of one's own sheet": (hostile.lines(hostile.events, most=12), self.own),
            "forms": (st.tuples(st.lists(hostile.forms, max_size=12), hostile.tables), self.forms),
            "rosters": (hostile.rosters, self.roster),
            "settings": (hostile.settings_files(), self.setting),
            "files sent": (sent_files(self.course.alone["stated"]), self.sent),
        }

    def sheets(self, handed_in):
        """Mark a class into which sheets and changed marks were handed."""
        files, changes = handed_in
        self.course.holds(sheet_files(files) | {changed_marks.NAME: changes[0]})
        return sum(lines for _, lines in files) + changes[1]

    def own(self, handed_in):
        """Go on with a lesson on such a sheet."""
        with tempfile.TemporaryDirectory(dir=self.home) as name:
            own_sheet(Path(name), handed_in[0])
        return handed_in[1]

    def forms(self, handed_in):
        """Mark a paper into which forms and a table were handed."""
        forms, table = handed_in
        files = [(f"x{n}.json", form) for n, form in enumerate(forms)]
        self.exam.holds([*files, ("x.csv", table)])
        return len(forms) + table.count(b"\n")

    def roster(self, contents):
        """Read a roster."""
        says(roster.read, contents, self.home / "class.csv")
        return 1

    def setting(self, contents):
        """Read the setting of a paper."""
        says(paper.read_setting, contents, self.home / "setting.toml")
        return 1

    def sent(self, contents):
        """Read a file of statements that was sent."""
        says(statements.read_sent, contents, self.home / "sent.json")
        return 1

    def endure(self, what, wanted):
        """Try inputs of one kind until there were so many."""
        inputs, rule = self.rules[what]

        @settings(
            max_examples=100,
            deadline=None,
            database=None,
            phases=[Phase.generate, Phase.shrink],
            suppress_health_check=list(HealthCheck),
        )
        @given(inputs)
        def some(handed_in):
            self.count[what] += rule(handed_in)

        while self.count[what] < wanted:
            some()
            print(f"  {self.count[what]} of {wanted} {what}", flush=True)


def main(wanted=100_000):
    """Print what was tried and how long it took; what breaks a rule is raised."""
    with tempfile.TemporaryDirectory() as name:
        endurance = Endurance(Path(name))
        for what, share in SHARES.items():
            begin = time.monotonic()
            endurance.endure(what, wanted * share // 100)
            print(f"{endurance.count[what]} {what}, {time.monotonic() - begin:.0f} s", flush=True)
    print(f"{endurance.count.total()} hostile inputs: the others' results stayed as they were")
    return 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
