"""
Are the two forms of the concept check equally hard? What simulated classes say, and what not.

Run from the repository's root: python -m tests.bench.bench_concept

The model, stated in full:

* A trainee has an ability, drawn from N(0, 1) before the course and 1 higher after it; an idea has
  a difficulty, drawn from N(0, 1), the same in both wordings. The idea is understood with the
  chance 1 / (1 + exp(difficulty - ability)) (the model of G. Rasch, 1960): then the answer is
  right.
* Otherwise the trainee says "I do not know yet" (3 in 10), or answers by a wrong idea of their own
  (3 in 10), the same in both wordings, or guesses (4 in 10).
* A guess goes by the text: a third of the guessers take the longest option, a third the one that
  shares most words with the question, a third any. This is where two wordings can differ.
* "Uneven" classes have wordings that are each harder or easier by a draw from N(0, 0.3), which is
  how forms that nobody tried out may well differ.

So the first figure tests the texts of the forms for what gives the answer away, and the others
say how large a difference a real class could see. Whether people find the two wordings of an idea
equally hard, no simulation knows: it assumes it. The register compares the forms in each real
class in the same way (`concept.forms_compared`).
"""

import re
import statistics

import numpy as np

from exercises.bank.concept import FORMS, IDEAS, UNSURE
from exercises.trainee import concept

SEED = 20_26
CLASSES, TRAINEES = 1000, 12
SAYS_UNSURE, OWN_IDEA = 0.3, 0.3
COURSE = 1.0  # how much higher the ability is after the course
UNEVEN = 0.3


def words(text):
    """Return the words of a text that carry meaning: those of four letters and more."""
    return set(re.findall(r"[a-z]{4,}", text.lower()))


def cues(form):
    """Return for each idea the option that a guesser by length and one by echo takes."""
    found = []
    for idea in IDEAS:
        wording = idea.wordings[FORMS.index(form)]
        options = {concept.RIGHT: wording.right, **wording.wrong}
        asked = words(wording.prompt)
        longest = max(options, key=lambda key: len(options[key]))
        echo = max(options, key=lambda key: (len(words(options[key]) & asked), key))
        found.append((longest, echo))
    return found


WRONG = [tuple(idea.wrong) for idea in IDEAS]
CUES = {form: cues(form) for form in FORMS}


def simulated(generator, *, uneven=0.0, guesses_only=False):
    """Return the results of one simulated class."""
    hard = generator.normal(size=len(IDEAS))
    wording = {form: hard + uneven * generator.normal(size=len(IDEAS)) for form in FORMS}
    results = []
    for number in range(1, TRAINEES + 1):
        trainee = f"T{number:02d}"
        ability = -np.inf if guesses_only else generator.normal()
        own = [
            WRONG[place][one] for place, one in enumerate(generator.integers(3, size=len(IDEAS)))
        ]
        sat = {}
        for when, gained in ((concept.BEFORE, 0.0), (concept.AFTER, COURSE)):
            form = concept.form_of(trainee, when)
            knows = 1 / (1 + np.exp(wording[form] - ability - gained))
            chosen = _chosen(generator, form, knows, own, guesses_only=guesses_only)
            sat[when] = concept.Sat(form, chosen, finished=True)
        results.append(concept.Result(trainee, sat[concept.BEFORE], sat[concept.AFTER]))
    return results


def _chosen(generator, form, knows, own, *, guesses_only):
    chosen = {}
    luck = generator.random((3, len(IDEAS)))
    for place, idea in enumerate(IDEAS):
        first, second, third = luck[:, place]
        if first < knows[place]:
            option = concept.RIGHT
        elif not guesses_only and second < SAYS_UNSURE:
            option = UNSURE
        elif not guesses_only and second < SAYS_UNSURE + OWN_IDEA:
            option = own[place]
        elif third < 2 / 3:
            option = CUES[form][place][int(third * 3)]
        else:
            option = (concept.RIGHT, *WRONG[place])[int((third * 3 - 2) * 4)]
        chosen[idea.key] = option
    return chosen


def compared(classes=CLASSES, seed=SEED, **how):
    """
    Return the mean difference A minus B in questions, its standard error, its spread.

    The spread is the standard deviation from class to class: what one class of twelve sees.
    """
    generator = np.random.default_rng(seed)
    found = [concept.forms_compared(simulated(generator, **how)).difference for _ in range(classes)]
    spread = statistics.stdev(found)
    return statistics.fmean(found), spread / classes**0.5, spread


def main():
    """Print what the simulated classes say."""
    print(f"{CLASSES} simulated classes of {TRAINEES}, seed {SEED}; form A minus form B,")
    print("in questions, and the standard error of the mean:")
    for name, how in (
        ("wordings alike, guesses by the text", {}),
        ("nobody knows anything, all guess", {"guesses_only": True}),
        (f"wordings uneven by {UNEVEN}", {"uneven": UNEVEN}),
    ):
        mean, error, spread = compared(**how)
        print(f"  {name:<38}{mean:+6.2f} ± {error:.2f}   one class: ± {spread:.1f}")
    print("The simulation assumes how people answer. Only real classes can decide.")


if __name__ == "__main__":
    main()
