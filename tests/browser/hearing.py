"""
What somebody hears who does not see a page: axe's findings, and the names that Chromium computes.

Two of axe's findings belong to the notebook program and not to the course: it lays out its cells
as a feed of things that are no articles, and gives each cell a name that its kind may not have.
"""

from pathlib import Path

import axe_playwright_python

AXE = Path(axe_playwright_python.__file__).with_name("axe.min.js").read_text(encoding="utf-8")
HOST = {
    "aria-required-children": ".jp-WindowedPanel-viewport",
    "aria-prohibited-attr": ".jp-Cell",
}
NAMED = ("button", "checkbox", "combobox", "image", "img", "link", "listbox", "radio", "radiogroup",
         "searchbox", "slider", "spinbutton", "textbox")  # fmt: skip


def findings(page):
    """Return what axe finds serious or critical, the host's own two left out, a line each."""
    page.evaluate(AXE)
    violations = page.evaluate(
        """async host => {
            const found = (await axe.run(document, { resultTypes: ["violations"] })).violations;
            const own = (rule, node) => !(host[rule]
                && document.querySelector(node.target.join(" "))?.matches(host[rule]));
            return found.filter(one => ["serious", "critical"].includes(one.impact))
                .map(one => [one.id, one.nodes.filter(node => own(one.id, node))
                    .map(node => node.html.slice(0, 200))])
                .filter(([, nodes]) => nodes.length);
        }""",
        HOST,
    )
    return [f"{rule}: {node}" for rule, nodes in violations for node in nodes]


class Heard:
    """
    One thing of a page as a screen reader gets it.

    Attributes
    ----------
    role, name, description : str
    """

    def __init__(self, node):
        self.role, self.name, self.description = (
            str(node.get(what, {}).get("value", "")) for what in ("role", "name", "description")
        )

    def __repr__(self):
        return f"{self.role} {self.name!r}"


def heard(page):
    """Return everything on a page that must have a name."""
    with_names = page.context.new_cdp_session(page)
    nodes = with_names.send("Accessibility.getFullAXTree")["nodes"]
    with_names.detach()
    every = [Heard(node) for node in nodes if not node.get("ignored")]
    return [one for one in every if one.role in NAMED]


def nameless(page):
    """Return what has no name."""
    return [one for one in heard(page) if not one.name.strip()]
