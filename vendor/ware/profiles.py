"""The outlines of thrown ware, drawn for this house: half profiles from the foot to the top.

A profile is one side of a pot, as a potter draws it beside the wheel: points of (height, radius)
as fractions of the form's own measures, the widest radius 1. Between points the outline runs
smooth, except at a corner (a rim, a foot ring, the edge of a lid). Everything else on it is
counted in points, so that the drawing never needs to know what it draws.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Point:
    """A point of the outline: height 0 (foot) to 1 (top), radius 0 to 1; a corner is sharp."""

    height: float
    radius: float
    corner: bool = False


@dataclass(frozen=True)
class Ear:
    """A handle: where it leaves and meets the wall (heights), and its share of the whole width."""

    top: float
    bottom: float
    reach: float


@dataclass(frozen=True)
class Hole:
    """An opening in the front: the height of its middle, half its width and half its height."""

    height: float
    across: float
    up: float


@dataclass(frozen=True)
class Profile:
    """An outline; `glaze` and `lid` are the points at which the glaze and the lid begin."""

    points: tuple[Point, ...]
    glaze: int
    lid: int | None = None
    ear: Ear | None = None
    hole: Hole | None = None
    rings: tuple[float, ...] = ()
    """Heights of throwing lines or steps that show in the surface."""

    @property
    def is_open(self) -> bool:
        """Whether one looks into it from above."""
        return self.lid is None and self.hole is None and self.points[-1].radius > 0.12


def _points(text: str) -> tuple[Point, ...]:
    """Read “height,radius” pairs; a trailing ! marks a corner."""
    found = []
    for pair in text.split():
        height, radius = pair.rstrip("!").split(",")
        found.append(Point(float(height), float(radius), pair.endswith("!")))
    return tuple(found)


CYLINDER = Profile(_points("0,.9! .05,.9! .05,.96! .09,1 .5,1 1,1!"), glaze=2)

PROFILES: dict[str, Profile] = {
    "cylinder": CYLINDER,
    "tumbler": Profile(
        _points("0,.66! .055,.68! .055,.7! .09,.76 .3,.83 .55,.87 .8,.93 1,1!"), 3, rings=(0.42,)
    ),
    "cup": Profile(_points("0,.46! .1,.44! .1,.46! .16,.66 .38,.93 .62,.98 .84,.95 1,1!"), 3),
    "mug": Profile(
        _points("0,.82! .05,.84! .05,.86! .1,.95 .3,1 .6,.95 .86,.93 1,.98!"),
        3,
        ear=Ear(0.86, 0.28, 0.26),
        rings=(0.5,),
    ),
    "bowl": Profile(_points("0,.4! .11,.37! .11,.4! .17,.55 .34,.8 .6,.93 .84,.98 1,1!"), 3),
    "berry bowl": Profile(
        _points("0,.38! .12,.35! .12,.39! .17,.52 .33,.76 .55,.92 .82,.95 .94,.98 1,1!"),
        3,
        rings=(0.7,),
    ),
    "plate": Profile(_points("0,.56! .22,.54! .22,.58! .34,.7 .62,.84 .86,.93 1,1!"), 3),
    "vase": Profile(
        _points(
            "0,.54! .03,.54! .03,.56! .06,.62 .22,.86 .42,1 .6,.92 .76,.58 .87,.42 .95,.47 1,.6!"
        ),
        3,
        rings=(0.62,),
    ),
    "bottle": Profile(
        _points(
            "0,.7! .03,.72! .03,.74! .07,.85 .25,1 .42,.96 .56,.66 .68,.34 .84,.26 .95,.3 1,.42!"
        ),
        3,
    ),
    "oil cruet": Profile(
        _points(
            "0,.72! .03,.74! .03,.76! .07,.86 .22,1 .38,.95 .52,.68 .64,.38 .8,.26 .9,.27 "
            ".94,.34! .965,.42 1,.4!"
        ),
        3,
        rings=(0.5,),
    ),
    "pitcher": Profile(
        _points("0,.7! .035,.71! .035,.73! .08,.82 .25,1 .45,.98 .65,.74 .8,.62 .92,.68 1,.8!"),
        3,
        ear=Ear(0.9, 0.36, 0.24),
    ),
    "jar": Profile(
        _points(
            "0,.64! .05,.64! .05,.68! .1,.8 .3,1 .5,.98 .66,.8 .7,.78! .7,.86! .73,.88 .8,.7 "
            ".86,.3 .88,.14! .92,.12 .96,.2 .985,.18 1,.06"
        ),
        3,
        lid=8,
    ),
    "thimble jar": Profile(
        _points("0,.58! .06,.58! .06,.62! .12,.78 .32,1 .52,.96 .7,.72 .8,.64 .9,.7 1,.86!"), 3
    ),
    "butter keeper": Profile(
        _points(
            "0,.86! .04,.88! .04,.9! .08,.95 .3,.97 .62,.96! .62,1! .67,1 .7,.97! .76,.84 .82,.5 "
            ".845,.2! .88,.16 .93,.27 .97,.26 1,.1"
        ),
        3,
        lid=6,
    ),
    "salt pig": Profile(
        _points("0,.72! .04,.74! .04,.77! .1,.87 .28,1 .5,.99 .68,.87 .83,.66 .93,.44 .985,.2 1,0"),
        3,
        hole=Hole(0.58, 0.62, 0.21),
    ),
    "candlestick": Profile(
        _points(
            "0,.98! .05,1! .05,1! .085,.94 .13,.6 .17,.3 .24,.22 .36,.26 .46,.34 .56,.24 .68,.17 "
            ".76,.2 .79,.44! .82,.47 .9,.34 1,.38!"
        ),
        2,
    ),
    "lidded casserole": Profile(
        _points(
            "0,.62! .06,.63! .06,.66! .1,.76 .24,.88 .42,.93! .44,1! .5,1 .54,.92! .56,.92! "
            ".56,.95! .59,.94 .7,.78 .8,.44 .83,.17! .87,.14 .93,.22 .97,.21 1,.08"
        ),
        3,
        lid=10,
    ),
    "dish": Profile(_points("0,.74! .08,.74! .08,.77! .16,.86 .5,.94 .88,.96 1,1!"), 3),
    "planter": Profile(_points("0,.66! .03,.68! .06,.7 .5,.82 .82,.92! .82,1! 1,1!"), 1),
    "tile": Profile(_points("0,1! .1,1! 1,1!"), 1),
    "spoon rest": Profile(_points("0,.6! .2,.6! .3,.7 .7,.94 1,1!"), 2),
}
"""Every outline by its name; the words in a name are what `profile_for` looks for."""

_ALSO = {
    "casserole": "lidded casserole",
    "candle": "candlestick",
    "cruet": "oil cruet",
    "butter": "butter keeper",
    "jug": "pitcher",
    "creamer": "pitcher",
    "saucer": "plate",
    "platter": "plate",
    "beaker": "tumbler",
    "pot": "jar",
    "canister": "jar",
    "crock": "butter keeper",
    "thimble": "thimble jar",
    "salt": "salt pig",
    "tray": "dish",
    "baker": "dish",
}
_BY_WORD = sorted(
    [*((name, name) for name in PROFILES), *_ALSO.items()], key=lambda pair: -len(pair[0])
)


def profile_for(name: str) -> Profile:
    """Return the outline that a form's name asks for; a cylinder where no word is known."""
    asked = f" {' '.join(name.casefold().replace('-', ' ').split())} "
    for word, profile in _BY_WORD:
        if f" {word} " in asked or f" {word}s " in asked:
            return PROFILES[profile]
    return CYLINDER
