"""A page of a class as a trainee meets it; used by the tests of a class beside this file."""

import re

KEPT = re.compile("kept [0-9:]+ in answers-")


def sign_in(page, room, code, lesson="08_deflection", address=""):
    """Open a page, and sign in as it asks."""
    page.goto(f"{address or room.address}/{lesson}.ipynb")
    page.get_by_label("Your code").fill(code)
    page.get_by_label("Your phrase").fill(room.phrases[code])
    page.get_by_role("button", name="Sign in").click()


def live(page, figures=1):
    """Wait until so many figures of the page are drawn."""
    page.wait_for_function(
        "wanted => [...document.querySelectorAll('.gk-figure img.gk-picture')]"
        ".filter(one => one.naturalWidth > 50).length >= wanted", arg=figures,
    )  # fmt: skip


def box(page, key="deflection-components"):
    """Return the answer box of an exercise."""
    return page.locator(f".gk-box-{key}")
