"""
Steps through a lesson by keyboard: F8 goes to the next section, Shift F8 back.

JupyterLab's own commands move from cell to cell and fold sections; in a page without its bars they
do not scroll. So each figure brings these lines along, and the page listens once.
"""

from IPython import get_ipython
from IPython.display import Javascript, display

LISTEN = """
(() => {
  if (window.geodesySteps) return;
  window.geodesySteps = true;
  document.addEventListener("keydown", event => {
    if (event.key !== "F8" || event.ctrlKey || event.altKey || event.metaKey) return;
    const page = [...document.querySelectorAll(".jp-Notebook")].find(one => one.offsetParent);
    if (!page) return;
    event.preventDefault();
    const top = page.getBoundingClientRect().top;
    const places = [...page.querySelectorAll(".jp-RenderedMarkdown :is(h1, h2)")]
      .map(heading => heading.getBoundingClientRect().top - top);
    const next = event.shiftKey ? places.filter(y => y < 2).pop() : places.find(y => y > 14);
    if (next !== undefined) page.scrollBy(0, next - 8);
  }, true);
})();
"""


def listen():
    """Let the page listen; outside a notebook this does nothing."""
    if getattr(get_ipython(), "kernel", None) is not None:
        display(Javascript(LISTEN))
