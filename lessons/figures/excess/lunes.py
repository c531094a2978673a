"""Figure B: why the angles of a triangle on a sphere are over: three pairs of lunes."""

import math
from functools import cache

import numpy as np

from lessons.canvas import palette, write
from lessons.canvas.globe import Globe
from lessons.canvas.palette import ELLIPSOID, HAIR, INK, NORMAL, QUIET, SEA, WHITE
from lessons.canvas.pen import HEADLINE, LEFT, RIGHT, Canvas
from lessons.widgets.live import LiveFigure, Slider

STAGES = ("the triangle alone", "the pair at A", "and the pair at B", "and the pair at C")
SMALLEST, LARGEST = 62, 118  # degrees: any three of them make a triangle
MIDDLE = (12.0, 0.0)  # latitude and longitude over which the triangle stands

# The eight parts into which three great circles cut a sphere: on the triangle's side of which?
OCTANTS = np.array([[bool(octant & bit) for bit in (1, 2, 4)] for octant in range(8)])


def lune_pairs(site, *, scale=1.0):
    """Figure B: a triangle's three pairs of lunes, one after another on a turning sphere."""
    return LiveFigure(
        lambda scale=scale: Lunes(scale),
        [
            Slider("pairs", "Pairs of lunes", "shown", 0, 3, 1, step=1),
            Slider("turn", "Turn the sphere", "°", -180, 180, 20, step=1),
            Slider("alpha", "A", "°", SMALLEST, LARGEST, 100, step=1),
            Slider("others", "B and C", "°, each", SMALLEST, LARGEST, 80, step=1),
        ],
    )


def triangle(alpha, beta, gamma):
    """
    Return the corners of the triangle with three angles in degrees, as unit vectors in rows.

    It stands over `MIDDLE`, A towards the north. The side c comes from the angles by the cosine
    rule of the polar triangle.
    """
    a, b, c = np.radians([alpha, beta, gamma])
    side_c, side_b = (
        math.acos((math.cos(one) + math.cos(a) * math.cos(other)) / (math.sin(a) * math.sin(other)))
        for one, other in ((c, b), (b, c))
    )
    corners = np.array(
        [
            [0, 0, 1],
            [math.sin(side_c), 0, math.cos(side_c)],
            [math.sin(side_b) * math.cos(a), math.sin(side_b) * math.sin(a), math.cos(side_b)],
        ]
    )
    up = corners.sum(0) / np.linalg.norm(corners.sum(0))
    north = corners[0] - (corners[0] @ up) * up
    north /= np.linalg.norm(north)
    local = corners @ np.array([np.cross(north, up), north, up]).T
    phi, lam = np.radians(MIDDLE)
    axes = np.array(
        [
            [-math.sin(lam), math.cos(lam), 0],
            [-math.sin(phi) * math.cos(lam), -math.sin(phi) * math.sin(lam), math.cos(phi)],
            [math.cos(phi) * math.cos(lam), math.cos(phi) * math.sin(lam), math.sin(phi)],
        ]
    )
    return local @ axes


def sides_of(corners):
    """Return the poles of the great circles BC, CA, AB, on the side of the triangle."""
    poles = np.cross(np.roll(corners, -1, 0), np.roll(corners, -2, 0))
    poles /= np.linalg.norm(poles, axis=1)[:, np.newaxis]
    return poles * np.sign((poles * corners).sum(1))[:, np.newaxis]


def covered(inside, pairs):
    """
    Return how often points are covered by the first so many pairs of lunes.

    `inside` says of each point, last axis 3, whether it lies on the triangle's side of BC, CA and
    AB. The pair at A is where the answers for CA and AB agree.
    """
    b_c, c_a, a_b = np.moveaxis(inside, -1, 0)
    agree = np.stack([c_a == a_b, a_b == b_c, b_c == c_a])
    return agree[:pairs].sum(0)


class Lunes:
    """The picture of figure B."""

    GLOBE = Globe(250, 298, 218)
    TABLE, NUMBERS, COVER = 520, 880, RIGHT  # x of the table, right edges of its numbers
    FIRST, STEP = 112, 40

    def __init__(self, scale):
        canvas = self.canvas = Canvas("Three pairs of lunes", "on a sphere", scale=scale)
        canvas.note(self.TABLE, 78, "area of each pair, with its angle twice: 4A R²")
        canvas.note(self.COVER, 78, "covers the triangle", to="left")
        canvas.rule(92, self.TABLE, colour=QUIET)
        canvas.rule(self.FIRST + 3 * self.STEP - 16, self.TABLE)
        canvas.words(self.TABLE, 250, "together")
        canvas.words(self.TABLE, 290, "the whole sphere, once")
        canvas.words(self.NUMBERS, 290, "720° × R²", to="left")
        canvas.rule(314, self.TABLE)
        canvas.words(self.TABLE, 338, "left over")
        canvas.note(self.TABLE, 360, "the triangle and its opposite, twice more each: 4E")
        canvas.words(self.TABLE, 408, "E = A + B + C − 180°", bold=True, colour=NORMAL)
        self._key()
        canvas.keep()
        globe = self.GLOBE
        self._box = (
            globe.x - globe.radius, globe.y - globe.radius,
            globe.x + globe.radius, globe.y + globe.radius,
        )  # fmt: skip
        self._plane = self._seen_points()

    def _key(self):
        canvas, x = self.canvas, self.TABLE
        for times, name in enumerate(("not covered", "once", "twice", "three times")):
            canvas.box(x, 478, x + 30, 498, _colour(times), edge=HAIR)
            x = canvas.note(x + 38, 488, name, colour=INK) + 28

    def _seen_points(self):
        """Return the picture's pixels on the globe as right, up and towards the eye."""
        globe = self.GLOBE
        x, y = self.canvas.pixel_grid(*self._box)
        right, up = np.meshgrid((x - globe.x) / globe.radius, (globe.y - y) / globe.radius)
        self._beyond = right**2 + up**2 > 1
        near = np.sqrt(np.maximum(0, 1 - right**2 - up**2))
        return np.stack([right, up, near]).astype(np.float32)

    def update(self, pairs, turn, alpha, others):
        """Shade the sphere and sum the areas; return the readout."""
        pairs = int(pairs)
        corners = triangle(alpha, others, others)
        view = self.GLOBE.above(MIDDLE[0], MIDDLE[1] + turn)
        self._turn = turn
        self.canvas.renew()
        self.canvas.grip_area("sphere", *self._box)
        self._sphere(view, corners, pairs)
        excess = alpha + 2 * others - 180
        self._sums((alpha, others, others), pairs, excess)
        return self._readout((alpha, others, others), pairs, turn, excess)

    def drag(self, name, x, y, begins):
        """Turn the sphere with the hand: the point that was taken stays under it, as on a ball."""
        if begins:
            self._from, self._at = x, self._turn
        turn = self._at - math.degrees((x - self._from) / self.GLOBE.radius)
        return {"turn": (turn + 180) % 360 - 180}

    def _sphere(self, view, corners, pairs):
        canvas, globe = self.canvas, self.GLOBE
        poles = (sides_of(corners) @ view.axes.T).astype(np.float32)
        octant = np.zeros(self._beyond.shape, np.uint8)
        for bit, inside in enumerate(np.tensordot(poles, self._plane, 1) > 0):
            octant |= inside.view(np.uint8) << bit
        octant[self._beyond] = len(OCTANTS)
        canvas.picture(self._box[0], self._box[1], _colours(pairs).take(octant, axis=0))
        globe.rim(canvas)
        self._circles(view, corners)
        self._names(view, corners)

    @staticmethod
    def _circle(start, towards):
        """Return a great circle from one direction through another, as unit vectors."""
        across = towards - (towards @ start) * start
        across /= np.linalg.norm(across)
        turn = np.radians(np.arange(0, 361, 3))[:, np.newaxis]
        return np.cos(turn) * start + np.sin(turn) * across

    def _circles(self, view, corners):
        for start, towards in zip(corners, np.roll(corners, -1, 0), strict=True):
            x, y, near = view.project(self._circle(start, towards))
            self.canvas.lines(
                x[np.newaxis], y[np.newaxis], near[np.newaxis] >= 0, colour=NORMAL, width=2.2
            )

    def _names(self, view, corners):
        """Name the corners in sight, the opposite ones with a stroke."""
        canvas, globe = self.canvas, self.GLOBE
        for name, corner in zip(("A", "B", "C", "A′", "B′", "C′"), [*corners, *-corners],
                                strict=True):  # fmt: skip
            x, y, near = view.project(corner)
            if near < 0.05:
                continue
            canvas.disc(x, y, 9, WHITE, edge=NORMAL, rim=2)
            away = math.atan2(y - globe.y, x - globe.x) if near < 0.999 else 0.0
            half = self.canvas.width_of(name, bold=True) / 2
            canvas.words(
                x + (12 + half) * math.cos(away),
                y + 18 * math.sin(away),
                name,
                bold=True,
                to="both",
                halo=True,
            )

    def _sums(self, angles, pairs, excess):
        canvas = self.canvas
        for row, (name, angle) in enumerate(zip("ABC", angles, strict=True)):
            y, shown = self.FIRST + self.STEP * row, row < pairs
            look = {"colour": INK if shown else QUIET, "bold": shown}
            canvas.words(self.TABLE, y, f"lunes at {name} and {name}′", **look)
            canvas.words(self.NUMBERS, y, f"4 × {angle:.0f}° × R²", to="left", **look)
            canvas.words(self.COVER, y, "once" if shown else "not yet", to="left", **look)
        total = 4 * sum(angles[:pairs])
        canvas.words(self.NUMBERS, 250, f"{total:.0f}° × R²", bold=True, to="left")
        if pairs == 3:
            canvas.words(self.NUMBERS, 338, f"{4 * excess:.0f}° × R²", bold=True, to="left")
        end = canvas.words(
            self.NUMBERS, 408, f"{excess:.0f}°", size=HEADLINE, bold=True, colour=NORMAL, to="left"
        )
        share = write.number(100 * excess / 720, 1)
        canvas.note(end + 16, 410, f"{share} % of the sphere", colour=INK)
        canvas.note(LEFT, 542, STAGES[pairs], bold=True, colour=INK)

    @staticmethod
    def _readout(angles, pairs, turn, excess):
        where = "the triangle’s side" if abs(turn) <= 90 else "the side opposite the triangle"
        alpha, beta, gamma = (f"{angle:.0f}°" for angle in angles)
        begin = f"Angles {alpha}, {beta} and {gamma}, seen from {where}. "
        if pairs < 3:
            return begin + (
                f"{pairs or 'No'} pair{'' if pairs == 1 else 's'} of lunes shown: "
                f"{write.bold(f'{4 * sum(angles[:pairs]):.0f}° × R²')}. Show all three, and turn "
                "the sphere to see the triangle opposite."
            )
        total = 4 * sum(angles)
        return begin + (
            f"The three pairs cover the sphere once, and the triangle and its opposite "
            f"{write.bold('three times')}: {total:.0f}° = 720° + 4E, so "
            f"{write.bold(f'E = {excess:.0f}°')}, the sum of the angles less 180°; the triangle "
            f"is {write.number(100 * excess / 720, 1)} % of the sphere."
        )


@cache
def _colours(pairs):
    """Return the colour of each octant, and white for what lies beyond the sphere."""
    times = covered(OCTANTS, pairs) if pairs else OCTANTS.all(-1).astype(int)
    sphere = np.array([palette.rgb(_colour(n)) for n in range(4)])[times]
    return np.vstack([sphere, np.full((len(OCTANTS), 3), 255)]).astype(np.uint8)


def _colour(times):
    """Return the colour of a point that is covered so often: a quarter more orange each time."""
    mixed = (1 - times / 4) * palette.rgb(SEA) + times / 4 * palette.rgb(ELLIPSOID)
    return "#" + "".join(f"{round(channel):02X}" for channel in mixed)
