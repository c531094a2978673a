"""The closed papers that a record takes up, named at the desk: as many as the class sat."""

from pathlib import Path

import ipywidgets as widgets

from lessons.widgets.small import button, place, row, text

MOST = 8  # papers of one course; a page of empty fields helps nobody


class PapersNamed(widgets.VBox):
    """
    Two fields for each paper: the folder where it was set, and the folder of what came back.

    Attributes
    ----------
    fields : list of (Text, Text)
        Those of each paper, in the order in which they were opened.
    """

    def __init__(self) -> None:
        self.fields: list[tuple[widgets.Text, widgets.Text]] = []
        self.more = button("more", "Name another paper", lambda _: self.another(), "small-button")
        super().__init__()
        self.add_class("gk-papers")
        self.another()

    def another(self) -> None:
        """Open the fields of another paper; what is typed in those before stays."""
        number = len(self.fields) + 1
        set_in = widgets.Text(
            placeholder="folder, if any", tooltip=f"folder where paper {number} was set"
        )
        back = widgets.Text(
            placeholder="folder", tooltip=f"folder of what came back of paper {number}"
        )
        set_in.add_class("gk-in-paper_set")
        back.add_class("gk-in-paper_back")
        self.fields.append((set_in, back))
        label = f"closed paper {number}: set in"
        line = row("line", text("label", label), set_in, text("label", "came back in"), back)
        more = [row("line", self.more)] if number < MOST else []
        place(self, [*(one for one in self.children if self.more not in one.children), line, *more])

    def places(self, home: Path) -> list[tuple[Path, Path]]:
        """
        Return both folders of each paper; of fields that are all empty none.

        A name without a path is looked for in the class's folder.

        Raises
        ------
        ValueError
            If one of two folders is named alone, or there is no such folder.
        """
        found = []
        for pair in self.fields:
            names = [field.value.strip().strip('"') for field in pair]
            if any(names) and not all(names):
                raise ValueError(
                    "A closed paper needs both folders: the one where it was set and the one of "
                    "what came back."
                )
            if any(names):
                found.append((_folder(home, names[0]), _folder(home, names[1])))
        return found


def _folder(home: Path, name: str) -> Path:
    place_of = home / Path(name).expanduser()
    if not place_of.is_dir():
        raise ValueError(f"There is no folder {place_of}: look at the name again.")
    return place_of
