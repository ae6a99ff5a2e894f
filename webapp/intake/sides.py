"""The side of the board, as columns, headings, sheet names and placement files say it."""

from webapp.intake.names import fold

_TOP = "top|t|toplayer|top layer|top side|topside|front|f.cu|f|oben|oberseite|顶层|顶面|表|表面|верх|component side|1"
_BOTTOM = (
    "bottom|b|bot|bottomlayer|bottom layer|bottom side|bottomside|bot side|back|b.cu|unten|unterseite|底层|底面|裏|裏面"
    "|низ|solder side|2"
)
_SIDES = {**dict.fromkeys(_TOP.split("|"), "top"), **dict.fromkeys(_BOTTOM.split("|"), "bottom")}
_WORDS = {
    **dict.fromkeys("top topside toplayer oben oberseite 顶层 顶面 верх верхняя".split(), "top"),
    **dict.fromkeys("bottom bot bottomside bottomlayer unten unterseite 底层 底面 низ нижняя".split(), "bottom"),
}
# Words that leave a name of a side what it is; with any other ("top board", "front panel") it names something else.
_BESIDE = frozenset(
    "side layer smd smt tht th bom list parts part components component placement assembly refs ref references"
    " reference designators designator refdes seite lage bestuckung bauteile stuckliste сторона слой the on of"
    " pcb 1 2".split()
)


def side_of(text: str) -> str | None:
    """ "top" or "bottom" for the ways in which files say it in a cell; None where they say neither."""
    return _SIDES.get(" ".join(text.lower().split()))


def side_named(text: str) -> str | None:
    """The side that a heading, a column or a sheet is named after: "Bottom side", "BOM_TOP"; None if after none."""
    words = fold(text).split()
    sides = {_WORDS[word] for word in words if word in _WORDS}
    return sides.pop() if len(sides) == 1 and all(word in _WORDS or word in _BESIDE for word in words) else None
